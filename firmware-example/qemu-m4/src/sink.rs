//! Where the events go.

#[cfg(not(feature = "log"))]
use semihosting::io::{self, Stdout};
use semihosting::{fs::File, io::Write as _};

use crate::{error::Error, limits::Path};

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

    /// Writes a line, at once: every write stops the chip for the host.
    pub(crate) fn write(&mut self, line: &str) -> Result<(), Error> {
        match self {
            Self::File(file) => file.write_all(line.as_bytes()),
            #[cfg(not(feature = "log"))]
            Self::Stdout(stdout) => stdout.write_all(line.as_bytes()),
        }
        .map_err(|error| Error::File("the events", error))
    }
}
