//! Options that say what a record is.

use std::path::Path;

use clap::{Args, ValueEnum};

use crate::error::Error;
use crate::quantity::Time;

/// What a record is.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Record")]
pub struct RecordArgs {
    /// Pre-trigger: length of a record before the event [default: a tenth of --post]
    #[arg(long, value_name = "TIME")]
    pub pre: Option<Time>,
    /// Length of a record from the event on: 10ms or, in samples, 1000sa
    #[arg(long, value_name = "TIME", default_value = "1000sa")]
    pub post: Time,
    /// When to record
    #[arg(long, default_value = "normal")]
    pub mode: ModeName,
    /// auto: force a record if none has begun for this long [default: twice its length]
    #[arg(long, value_name = "TIME")]
    pub auto_after: Option<Time>,
    /// Channels to record, from 1, separated by commas [default: all for capture, else --channel]
    #[arg(long, value_name = "N,N", value_delimiter = ',')]
    pub record: Option<Vec<usize>>,
    /// Stop after this many records. Later samples are not read, and later events are not counted
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub limit: Option<u64>,
}

/// When to record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ModeName {
    /// Record at each event, and force a record if no event comes
    Auto,
    /// Record at each event
    Normal,
    /// Record once, then stop
    Single,
}

impl RecordFormat {
    /// The format that a file's name ends with.
    pub fn of_name(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "wav" => Some(Self::Wav),
            "csv" => Some(Self::Csv),
            "npy" => Some(Self::Npy),
            "sigmf" | "sigmf-data" | "sigmf-meta" => Some(Self::Sigmf),
            _ => None,
        }
    }

    /// The format that is asked for, or that the name of the file tells.
    ///
    /// # Errors
    /// Where they contradict each other.
    pub fn asked(option: &str, path: &Path, given: Option<Self>) -> Result<Option<Self>, Error> {
        match (given, Self::of_name(path)) {
            (Some(given), Some(named)) if given != named => {
                let name = given.to_possible_value();
                let name = name.as_ref().map_or("", |name| name.get_name());
                Err(Error::usage(
                    format!("{option} {} does not go with --save-as {name}", path.display()),
                    "leave --save-as out, or give another name",
                ))
            }
            (given, named) => Ok(given.or(named)),
        }
    }
}

/// The formats of records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RecordFormat {
    /// WAV. If there are several records, one file each
    Wav,
    /// CSV in seconds and volts. If there are several records, one file each
    Csv,
    /// NPY. If there are several records, one file each
    Npy,
    /// `SigMF`. If there are several records, one recording with an annotation for each
    Sigmf,
}
