//! The formats of recordings.

use std::fmt;
use std::str::FromStr;

use crate::error::Error;

/// A format of recordings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Samples without a header.
    Raw,
    /// RIFF/WAVE audio, with its large (RF64) and big-endian (RIFX) kin.
    Wav,
    /// Text in columns.
    Csv,
    /// A `NumPy` array.
    Npy,
    /// Samples beside a file of metadata.
    SigMf,
}

impl Format {
    const ALL: [Self; 5] = [Self::Raw, Self::Wav, Self::Csv, Self::Npy, Self::SigMf];

    /// The name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Raw => "raw",
            Self::Wav => "wav",
            Self::Csv => "csv",
            Self::Npy => "npy",
            Self::SigMf => "sigmf",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Format {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        Self::ALL
            .into_iter()
            .find(|format| format.name().eq_ignore_ascii_case(text.trim()))
            .ok_or_else(|| {
                Error::usage(
                    format!("--input-format: \"{text}\" is not a format"),
                    "use raw, wav, csv, npy or sigmf",
                )
            })
    }
}
