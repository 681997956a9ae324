//! The `stillwave` program.

use std::process::ExitCode;

use stillwave_cli::{commands, error::Error, interrupt, setup};

fn main() -> ExitCode {
    let done = setup::command_line().and_then(|(cli, setup)| {
        interrupt::listen();
        commands::run(&cli).map_err(|error| setup.locate(error))
    });
    match done {
        Ok(status) => status,
        Err(error) if error.is_quiet() => ExitCode::SUCCESS,
        Err(error) => fail(&error),
    }
}

fn fail(error: &Error) -> ExitCode {
    eprintln!("error: {error}");
    ExitCode::from(2)
}
