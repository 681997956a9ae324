//! The `stillwave` program.

use std::process::ExitCode;

use clap::Parser;
use stillwave_cli::{args::Cli, commands, interrupt};

fn main() -> ExitCode {
    let cli = Cli::parse();
    interrupt::listen();
    match commands::run(&cli) {
        Ok(status) => status,
        Err(error) if error.is_quiet() => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::from(2)
        }
    }
}
