//! One file a command.

mod capture;
mod check;
mod decimate;
mod demo;
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

use std::io::Write;
use std::path::Path;
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
        Command::Demo(args) => demo::run(args),
    }
}

/// Makes a folder where there is none.
fn make_folder(path: &Path) -> Result<(), Error> {
    let name = path.display().to_string();
    if path.exists() && !path.is_dir() {
        return Err(Error::usage(format!("{name}: is a file"), "give the name of a folder"));
    }
    std::fs::create_dir_all(path).map_err(|source| Error::output(name, source))
}

/// Prints lines for people.
fn print(text: &str) -> Result<(), Error> {
    to_output(writeln!(printed::Text, "{text}"))
}

/// Prints a picture.
fn print_drawing(text: &str) -> Result<(), Error> {
    to_output(writeln!(printed::Drawing, "{text}"))
}

fn to_output(printed: std::io::Result<()>) -> Result<(), Error> {
    printed.map_err(|source| Error::output("standard output", source))
}
