//! What can go wrong, each with the word or file it is about.

use core::fmt;

use semihosting::io;
use stillwave::ConfigError;

use crate::limits::BLOCK;

/// Why the program stopped.
pub(crate) enum Error {
    /// The emulator handed over no words, or too many.
    CommandLine(io::Error),
    /// A word that is not `name=value` with a known name.
    UnknownWord,
    /// The value of this word cannot be read.
    BadValue(&'static str),
    /// `on=pulse` needs one of its bounds.
    NoWidth,
    /// The block length is 0 or more than the buffer holds.
    Block,
    /// Logging takes standard output.
    #[cfg(feature = "log")]
    NoSink,
    /// The recording or the file of events.
    File(&'static str, io::Error),
    /// An event of an unknown kind, or longer than a line.
    Unwritable,
    /// The recording ends between the two bytes of a sample.
    HalfSample,
    /// The engine refused a setting.
    Config(ConfigError),
}

impl From<ConfigError> for Error {
    fn from(error: ConfigError) -> Self {
        Self::Config(error)
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CommandLine(error) => write!(f, "the command line cannot be read: {error}"),
            Self::UnknownWord => f.write_str("a word that is not NAME=VALUE, or an unknown name"),
            Self::BadValue(name) => write!(f, "{name}= has a value that cannot be read"),
            Self::NoWidth => {
                f.write_str("on=pulse needs shorter-, longer-than=, within= or outside=")
            }
            Self::Block => write!(f, "block= must be from 1 to {BLOCK}"),
            #[cfg(feature = "log")]
            Self::NoSink => f.write_str("the log is on standard output: name a file by to="),
            Self::File(what, error) => write!(f, "{what}: {error}"),
            Self::Unwritable => f.write_str("an event that this program cannot write"),
            Self::HalfSample => f.write_str("file= ends in the middle of a sample"),
            Self::Config(error) => error.fmt(f),
        }
    }
}
