//! Settings in text: setup files and expectations.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::error::{Error, Place};

/// The largest file worth reading: a mask of ten thousand corners.
const MOST_BYTES: u64 = 512 * 1024;

/// Reads the file at `path`; `what` says which file would do.
///
/// # Errors
/// A file that cannot be read, has no end in sight, or is no text.
pub(crate) fn read(path: &Path, what: &str) -> Result<String, Error> {
    let name = path.display().to_string();
    let opened = |source| Error::Open { name: name.clone(), source };
    let file = File::open(path).map_err(opened)?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(opened)?;
    if bytes.len() as u64 > MOST_BYTES {
        let problem = format!("it is larger than {} KiB", MOST_BYTES / 1024);
        return Err(Error::input(&name, Place::Whole, problem, format!("name {what}")));
    }
    String::from_utf8(bytes).map_err(|fault| {
        let place = Place::Byte(fault.utf8_error().valid_up_to() as u64);
        Error::input(&name, place, "this is no text in UTF-8", format!("name {what}"))
    })
}
