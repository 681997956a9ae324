//! The `stillwave` program.

use std::process::ExitCode;

use stillwave_cli::{commands, error::Error, interrupt, printed, setup};

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
    printed::tell(&format!("error: {error}"));
    // Where it was asked to end, that is why it did, unless what it had could not be written.
    if interrupt::came() && !matches!(error, Error::Write { .. }) {
        interrupt::status()
    } else {
        ExitCode::from(2)
    }
}
