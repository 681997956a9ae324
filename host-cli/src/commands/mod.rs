//! One file a command.

mod capture;
mod check;
mod decimate;
mod demo;
mod drawing;
mod expect;
mod explain;
mod histogram;
mod live;
mod measure;
mod scan;
mod spectrum;
mod suggest;
mod survey;
mod view;
mod xy;

use std::process::ExitCode;

use crate::args::{Cli, Command};
use crate::error::Error;
use crate::printed;

/// Does what the command line asks for.
///
/// # Errors
/// As the command.
pub fn run(cli: &Cli) -> Result<ExitCode, Error> {
    printed::goes_on_without_reader(cli.command.does_more_than_print());
    match &cli.command {
        Command::Scan(args) => scan::run(args),
        Command::Capture(args) => capture::run(args),
        Command::Measure(args) => measure::run(args),
        Command::View(args) => view::run(args),
        Command::Check(args) => check::run(args),
        Command::Expect(args) => expect::run(args),
        Command::Decimate(args) => decimate::run(args),
        Command::Explain(args) => explain::run(args),
        Command::Live(args) => live::run(args),
        Command::Suggest(args) => suggest::run(args),
        Command::Survey(args) => survey::run(args),
        Command::Demo(args) => demo::run(args, run),
    }
}
