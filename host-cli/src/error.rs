//! What can go wrong, in words that name the file, the place and the remedy.

use std::fmt;
use std::io;

use thiserror::Error;

use crate::quantity::QuantityError;

/// A failure of the tool. Its message is complete: print it after `error: `.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Error {
    /// Options that contradict each other, or one that is missing.
    #[error("{problem}; {remedy}")]
    Usage {
        /// What is wrong, naming the option.
        problem: String,
        /// What to do about it.
        remedy: String,
    },
    /// A value on the command line that is not the quantity it should be.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// A setting that the engine does not take.
    #[error("{}", with_option(.0))]
    Config(#[from] stillwave::ConfigError),
    /// Content that is not what its format asks for.
    #[error("{name}: {place}{problem}; {remedy}")]
    Input {
        /// The file.
        name: String,
        /// Where in the file.
        place: Place,
        /// What is wrong there.
        problem: String,
        /// What to do about it.
        remedy: String,
    },
    /// A file that could not be opened.
    #[error("{name}: cannot be opened: {source}; check the name and the permissions")]
    Open {
        /// The file.
        name: String,
        /// The system's reason.
        source: io::Error,
    },
    /// A place to talk to that could not be reached.
    #[error("{name}: cannot be reached: {source}; {remedy}")]
    Unreachable {
        /// The board, or an address.
        name: String,
        /// The system's reason.
        source: io::Error,
        /// What to do about it.
        remedy: &'static str,
    },
    /// A file that could not be read on.
    #[error("{name}: byte {offset}: cannot be read: {source}; check the disk or the connection")]
    Read {
        /// The file.
        name: String,
        /// How far reading came.
        offset: u64,
        /// The system's reason.
        source: io::Error,
    },
    /// A file that could not be written.
    #[error("{name}: cannot be written: {source}; check the space and the permissions")]
    Write {
        /// The file.
        name: String,
        /// The system's reason.
        source: io::Error,
    },
    /// Whoever read the output has gone; no fault, so `main` ends quietly.
    #[error("the output was closed before everything was written")]
    ClosedPipe,
}

impl Error {
    /// An error about options.
    pub fn usage(problem: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Usage { problem: problem.into(), remedy: remedy.into() }
    }

    /// An error in a file's content.
    pub fn input(
        name: impl Into<String>,
        place: Place,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self::Input { name: name.into(), place, problem: problem.into(), remedy: remedy.into() }
    }

    /// A failed write to `name`, where a closed pipe is told from a real fault.
    pub fn output(name: impl Into<String>, source: io::Error) -> Self {
        if source.kind() == io::ErrorKind::BrokenPipe {
            Self::ClosedPipe
        } else {
            Self::Write { name: name.into(), source }
        }
    }

    /// Whether the program should end without a message.
    pub fn is_quiet(&self) -> bool {
        matches!(self, Self::ClosedPipe)
    }
}

/// The error with the option that has brought it about.
fn with_option(error: &stillwave::ConfigError) -> String {
    match option_problem(error) {
        Some((problem, remedy)) => format!("{problem}; {remedy}"),
        None => format!("{error}; correct the option of that name"),
    }
}

/// What is wrong with which option, by the engine's name for it, and what to do about it.
pub(crate) fn option_problem(error: &stillwave::ConfigError) -> Option<(String, &'static str)> {
    let option = match error.parameter {
        "reference voltage" => "vref",
        "step" => "by",
        same @ ("level" | "hysteresis" | "low" | "high" | "every" | "bits" | "order" | "zero"
        | "attenuation" | "corner" | "rate" | "after" | "timeout" | "line" | "address"
        | "events") => same,
        "record length" => {
            let problem = format!("--pre and --post are {} samples together", error.value);
            return Some((problem, "give 1 or more"));
        }
        _ => return None,
    };
    Some((format!("--{option} is {}: it must be {}", error.value, error.range), "correct it"))
}

/// A place in a file, as people count: lines and columns from 1, bytes from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The file as a whole.
    Whole,
    /// A line of text.
    Line(u64),
    /// A field of a line of text.
    Field {
        /// The line.
        line: u64,
        /// The column, counted in fields.
        column: usize,
    },
    /// A byte offset.
    Byte(u64),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => Ok(()),
            Self::Line(line) => write!(f, "line {line}: "),
            Self::Field { line, column } => write!(f, "line {line}, column {column}: "),
            Self::Byte(offset) => write!(f, "byte {offset}: "),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn message_names_file_place_and_remedy() {
        let error = Error::input(
            "recording.csv",
            Place::Field { line: 17, column: 2 },
            "\"abc\" is not a number",
            "correct it or choose another column with --channel",
        );
        assert_eq!(
            error.to_string(),
            "recording.csv: line 17, column 2: \"abc\" is not a number; \
             correct it or choose another column with --channel"
        );
    }

    #[test]
    fn closed_pipe_is_quiet_and_a_full_disk_is_not() {
        let closed = Error::output("out", io::ErrorKind::BrokenPipe.into());
        assert!(closed.is_quiet());
        let full = Error::output("out", io::ErrorKind::StorageFull.into());
        assert!(!full.is_quiet());
        assert!(full.to_string().starts_with("out: cannot be written"));
    }
}
