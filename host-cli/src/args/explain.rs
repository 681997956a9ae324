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
    /// For people, or for programs
    #[arg(long, value_name = "FORMAT", default_value = "table", help_heading = "Output")]
    pub format: ExplainFormat,
    /// Write the histogram as PNG
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    pub png: Option<PathBuf>,
    /// Replace a file that exists
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// How an explanation is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExplainFormat {
    /// Sentences and a histogram
    Table,
    /// One JSON object, SI units
    Json,
}
