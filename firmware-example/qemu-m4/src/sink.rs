//! Where the events go.

use core::fmt::Write as _;

use heapless::String;
#[cfg(not(feature = "log"))]
use semihosting::io::{self, Stdout};
use semihosting::{fs::File, io::Write as _};

use crate::{error::Error, line::Line, options::Path};

/// More than the longest line.
const LINE: usize = 256;

/// A host file or standard output.
pub(crate) enum Sink {
    File(File),
    #[cfg(not(feature = "log"))]
    Stdout(Stdout),
}

impl Sink {
    /// The host's file, or standard output where none is named.
    pub(crate) fn open(path: Option<&Path>) -> Result<Self, Error> {
        match path {
            Some(path) => {
                let file = File::create(path).map_err(|error| Error::File("to=", error))?;
                Ok(Self::File(file))
            }
            #[cfg(not(feature = "log"))]
            None => {
                let stdout = io::stdout().map_err(|error| Error::File("standard output", error))?;
                Ok(Self::Stdout(stdout))
            }
            #[cfg(feature = "log")]
            None => Err(Error::NoSink),
        }
    }

    /// Writes one event, at once: every write stops the chip for the host.
    pub(crate) fn write(&mut self, line: &Line) -> Result<(), Error> {
        let mut text = String::<LINE>::new();
        writeln!(text, "{line}").map_err(|_| Error::Unwritable)?;
        match self {
            Self::File(file) => file.write_all(text.as_bytes()),
            #[cfg(not(feature = "log"))]
            Self::Stdout(stdout) => stdout.write_all(text.as_bytes()),
        }
        .map_err(|error| Error::File("to=", error))
    }
}
