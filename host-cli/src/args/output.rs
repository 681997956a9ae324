//! Options that say how results are written.

use clap::{Args, ValueEnum};

/// How results are written.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Output")]
pub struct ReportArgs {
    /// For people, or for programs (SI units)
    #[arg(long, value_name = "FORMAT", default_value = "table")]
    pub format: ReportFormat,
}

/// How results are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReportFormat {
    /// Aligned columns with units
    Table,
    /// One JSON object a line
    Json,
    /// Comma-separated values with a header
    Csv,
}
