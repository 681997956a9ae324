//! Options that say what a record is.

use clap::{Args, ValueEnum};

use crate::quantity::Time;

/// What a record is.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Record")]
pub struct RecordArgs {
    /// Time before the event [default: a tenth of --post]
    #[arg(long, value_name = "TIME")]
    pub pre: Option<Time>,
    /// Time from the event on
    #[arg(long, value_name = "TIME", default_value = "1000sa")]
    pub post: Time,
    /// When to record
    #[arg(long, default_value = "normal")]
    pub mode: ModeName,
    /// auto: force a record when none began for this long [default: twice the record]
    #[arg(long, value_name = "TIME")]
    pub auto_after: Option<Time>,
    /// The channels to record, from 1, separated by commas [default: all]
    #[arg(long, value_name = "N,N", value_delimiter = ',')]
    pub record: Option<Vec<usize>>,
    /// Stop after this many records
    #[arg(long, value_name = "N")]
    pub limit: Option<u64>,
}

/// When to record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ModeName {
    /// Force a record when no event comes
    Auto,
    /// A record for each event
    Normal,
    /// One record, then stop
    Single,
}

/// The formats of records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RecordFormat {
    /// One WAV file a record
    Wav,
    /// One CSV file a record, in seconds and volts
    Csv,
    /// One NPY file a record
    Npy,
    /// One `SigMF` recording of all records
    Sigmf,
}
