//! Options that say how results are written.

use clap::{Args, ValueEnum};

/// How results are written.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Output")]
pub struct ReportArgs {
    /// Output format
    #[arg(long, value_name = "FORMAT", default_value = "table")]
    pub format: ReportFormat,
}

/// How results are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReportFormat {
    /// Aligned columns with units, for people
    Table,
    /// One JSON object per line, in SI units
    Json,
    /// Comma-separated values with a header, in SI units
    Csv,
}
