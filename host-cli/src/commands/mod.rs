//! One file a command.

mod scan;

use std::process::ExitCode;

use crate::args::{Cli, Command};
use crate::error::Error;

/// Does what the command line asks for.
///
/// # Errors
/// As the command.
pub fn run(cli: &Cli) -> Result<ExitCode, Error> {
    match &cli.command {
        Command::Scan(args) => scan::run(args),
        _ => todo!(),
    }
}
