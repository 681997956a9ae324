//! Options of `check` and `expect`.

use std::path::PathBuf;

use clap::Args;

use super::{JobArgs, PictureArgs, RecordFormat, ReportArgs, StateArgs};
use crate::quantity::Percent;

/// Options of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub states: StateArgs,
    /// Check against this expectation: a TOML file, such as `stillwave expect` writes
    #[arg(long, value_name = "FILE", help_heading = "Expectation")]
    pub expect: PathBuf,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub picture: PictureArgs,
    /// Write the result to this file as `JUnit` XML, for automation
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    pub junit: Option<PathBuf>,
    /// Save the records that fail to this folder
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub keep: Option<PathBuf>,
    /// File format of the saved records
    #[arg(long, value_name = "FORMAT", default_value = "wav", help_heading = "Output")]
    pub save_as: RecordFormat,
}

/// Options of `expect`.
#[derive(Debug, Args)]
pub struct ExpectArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub states: StateArgs,
    /// Widen the limits beyond the deviations in this recording by this percentage
    #[arg(long, value_name = "PERCENT", default_value = "20%", help_heading = "Expectation")]
    pub margin: Percent,
    /// Write the draft to this file [default: standard output]
    #[arg(long, short, value_name = "FILE", help_heading = "Output")]
    pub out: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}
