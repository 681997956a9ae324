//! Folders for what is written.

use std::path::Path;

use crate::error::Error;

/// Makes a folder where there is none.
pub(crate) fn make_folder(path: &Path) -> Result<(), Error> {
    let name = path.display().to_string();
    if path.exists() && !path.is_dir() {
        return Err(Error::usage(format!("{name}: is a file"), "give the name of a folder"));
    }
    std::fs::create_dir_all(path).map_err(|source| Error::output(name, source))
}
