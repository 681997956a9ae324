//! Options that keep the others in a file.

use std::path::PathBuf;

use clap::Args;

/// A trigger kept in a file.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Setup file")]
pub struct SetupArgs {
    /// Read options for scale, trigger and record from this file. Command-line options override the
    /// file
    #[arg(long, value_name = "FILE.toml")]
    pub setup: Option<PathBuf>,
    /// Write the options for scale, trigger and record to this file. The extension .rs writes the
    /// trigger as Rust constants for firmware
    #[arg(long, value_name = "FILE.toml|FILE.rs")]
    pub save_setup: Option<PathBuf>,
    /// Whether a file that exists is replaced.
    #[arg(skip)]
    pub overwrite: bool,
    /// The options as a setup file has them.
    #[arg(skip)]
    pub text: String,
}
