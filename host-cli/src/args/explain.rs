//! Options of `explain`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{InputArgs, ScaleArgs, TriggerArgs};

/// Options of `explain`.
#[derive(Debug, Clone, Args)]
pub struct ExplainArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub trigger: TriggerArgs,
    /// Output format
    #[arg(long, value_name = "FORMAT", default_value = "table", help_heading = "Output")]
    pub format: ExplainFormat,
    /// Write the histogram to this PNG file
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    pub png: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// How an explanation is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExplainFormat {
    /// Sentences and a histogram, for people
    Table,
    /// One JSON object in SI units, for programs
    Json,
}
