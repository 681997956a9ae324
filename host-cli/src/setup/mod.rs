//! Setup files: the options of a trigger, kept; and what the engine makes of them, for firmware.
//!
//! ```toml
//! [scale]
//! bits = 12
//! vref = "3.3V"
//!
//! [trigger]
//! on = "pulse"
//! level = "1.65V"
//! shorter-than = "1.2ms"
//!
//! [record]
//! post = "10ms"
//! ```
//! Keys are the options' own names. A file is read as if it stood on the command line, so that
//! there is one set of names, units and rules, and one place where they are checked.

mod constant;
mod read;
mod rust;
mod write;

pub use write::save;

use clap::Args as _;

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use clap::builder::{PathBufValueParser, TypedValueParser as _};
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{ArgMatches, CommandFactory, FromArgMatches};

use crate::args::{Cli, Command, InputArgs, ScaleArgs};
use crate::error::{Error, Place, option_problem};
use crate::note;
use read::Item;
use write::is_given;

/// The file that options were read from, if any.
#[derive(Debug, Default)]
pub struct Setup {
    name: String,
    items: Vec<Item>,
}

/// The command line, with what its setup file adds. Like [`clap::Parser::parse`] it ends the
/// program where the command line alone is wrong, or asks for help.
///
/// # Errors
/// A setup file that cannot be read, or says what no command line may.
pub fn command_line() -> Result<(Cli, Setup), Error> {
    let own: Vec<OsString> = std::env::args_os().collect();
    let matches = command().try_get_matches_from(&own).or_else(|error| match error.kind() {
        ErrorKind::InvalidUtf8 => Err(not_text(&own)),
        ErrorKind::UnknownArgument => {
            let error = without_value(&own)
                .or_else(|| of_others(&own, &error))
                .unwrap_or_else(|| error.exit());
            Err(error)
        }
        ErrorKind::ValueValidation => Err(without_value(&own).unwrap_or_else(|| error.exit())),
        _ => error.exit(),
    })?;
    completed(&own, matches)
}

/// As [`command_line`], of words that were put together.
///
/// # Errors
/// As [`command_line`]; words that are none.
pub fn of_line(words: &[OsString]) -> Result<(Cli, Setup), Error> {
    completed(words, command().try_get_matches_from(words).map_err(|error| no_words(&error))?)
}

/// The options of a command line, with what the setup file that it names adds.
fn completed(own: &[OsString], matches: ArgMatches) -> Result<(Cli, Setup), Error> {
    let (matches, setup) = match setup_path(&matches) {
        None => (matches, Setup::default()),
        Some(path) => with_file(own, &matches, &path)?,
    };
    let mut cli = Cli::from_arg_matches(&matches).map_err(|error| no_words(&error))?;
    if let Some(trigger) = cli.command.trigger_mut()
        && trigger.file.save_setup.is_some()
        && let Some((verb, given)) = matches.subcommand()
    {
        trigger.file.overwrite = is_overwriting(given);
        trigger.file.text = write::text(given, &options_of(verb), &setup.items);
    }
    if let Command::Suggest(args) = &mut cli.command
        && let Some((_, given)) = matches.subcommand()
    {
        args.typed = typed(given);
    }
    Ok((cli, setup))
}

fn no_words(error: &clap::Error) -> Error {
    Error::usage(read::in_one_line(error), "report the command it is in")
}

/// A command line that was put together, as if it had been typed.
///
/// # Errors
/// Words that are none.
pub fn of_words(words: &[String]) -> Result<Cli, Error> {
    let matches = command().try_get_matches_from(words).map_err(|error| no_words(&error))?;
    let mut cli = Cli::from_arg_matches(&matches).map_err(|error| no_words(&error))?;
    if let Some(trigger) = cli.command.trigger_mut()
        && let Some((verb, given)) = matches.subcommand()
    {
        trigger.file.overwrite = is_overwriting(given);
        trigger.file.text = write::text(given, &options_of(verb), &[]);
    }
    Ok(cli)
}

/// The options that say what the recording is and how it is scaled, as they were typed.
fn typed(given: &ArgMatches) -> Vec<String> {
    let group = ScaleArgs::augment_args(InputArgs::augment_args(clap::Command::new("")));
    let mut words = Vec::new();
    for option in group.get_arguments() {
        let id = option.get_id().as_str();
        let Some(name) = option.get_long().filter(|_| is_given(given, id)) else { continue };
        for value in given.try_get_raw(id).ok().flatten().into_iter().flatten() {
            words.extend([format!("--{name}"), value.to_string_lossy().into_owned()]);
        }
    }
    words
}

/// The options, which take what begins with a hyphen for their value: `-5ms` is a time, though one
/// out of range, and it is then the option that the message names.
fn command() -> clap::Command {
    Cli::command().mut_subcommands(|command| {
        command.mut_args(|option| {
            let takes_a_file = option.get_value_names().into_iter().flatten().any(|name| {
                ["FILE", "PATH", "FOLDER"].iter().any(|kind| name.as_str().starts_with(kind))
            });
            let takes_a_quantity =
                option.get_action().takes_values() && !option.is_positional() && !takes_a_file;
            let option = option.allow_hyphen_values(takes_a_quantity);
            let is_written = ["out", "junit", "keep", "folder", "save_setup"];
            if is_written.contains(&option.get_id().as_str()) {
                option.value_parser(PathBufValueParser::new().try_map(named))
            } else {
                option
            }
        })
    })
}

/// The path of a file to write. `-` is none: what is printed goes to the standard output anyway.
fn named(path: PathBuf) -> Result<PathBuf, &'static str> {
    if path == Path::new("-") {
        return Err("this is no file name; for a file called - write ./-");
    }
    Ok(path)
}

/// The error for an option that took the next option for its value.
fn without_value(own: &[OsString]) -> Option<Error> {
    let line = command();
    let verb = line.find_subcommand(own.get(1)?.to_str()?)?;
    let option = |word: &OsString| {
        let name = word.to_str()?.strip_prefix("--")?;
        verb.get_arguments().find(|argument| argument.get_long() == Some(name))
    };
    let pair = own.windows(2).find(|pair| {
        let takes_one = option(&pair[0]).is_some_and(|option| option.get_action().takes_values());
        takes_one && option(&pair[1]).is_some()
    })?;
    let [option, next] = [&pair[0], &pair[1]].map(|word| word.display());
    Some(Error::usage(
        format!("{option} has no value: {next} follows"),
        "give it one, or leave it out",
    ))
}

/// The error for a command line with a word that is no text, though it should be.
fn not_text(own: &[OsString]) -> Error {
    let is_option = |word: &OsString| word.to_str().is_some_and(|word| word.starts_with('-'));
    let culprit = own.windows(2).find(|pair| is_option(&pair[0]) && pair[1].to_str().is_none());
    let problem = match culprit {
        Some([option, value]) => format!("{} {}", option.display(), value.display()),
        _ => "the command line".to_owned(),
    };
    Error::usage(
        format!("{problem}: this is no text in UTF-8"),
        "type it anew; names of files alone may be other than UTF-8",
    )
}

/// The error for an option that other commands have.
fn of_others(own: &[OsString], error: &clap::Error) -> Option<Error> {
    let Some(ContextValue::String(option)) = error.get(ContextKind::InvalidArg) else {
        return None;
    };
    let verb = own.get(1)?.to_str()?;
    let name = option.strip_prefix("--")?;
    let line = command();
    line.find_subcommand(verb)?;
    let has = |command: &&clap::Command| {
        command.get_arguments().any(|argument| argument.get_long() == Some(name))
    };
    let others: Vec<_> = line.get_subcommands().filter(has).map(clap::Command::get_name).collect();
    let (last, first) = others.split_last()?;
    let others = match first {
        [] => (*last).to_owned(),
        _ => format!("{} and {last}", first.join(", ")),
    };
    Some(Error::usage(
        format!("stillwave {verb} has no {option}"),
        format!("leave it out ({others} can have it)"),
    ))
}

/// Whether the command replaces files that exist.
fn is_overwriting(given: &ArgMatches) -> bool {
    given.try_get_one::<bool>("overwrite").ok().flatten().is_some_and(|asked| *asked)
}

fn setup_path(matches: &ArgMatches) -> Option<PathBuf> {
    let (_, given) = matches.subcommand()?;
    given.try_get_one::<PathBuf>("setup").ok().flatten().cloned()
}

/// The command line `own`, and before it what the file says and it does not.
fn with_file(
    own: &[OsString],
    matches: &ArgMatches,
    path: &Path,
) -> Result<(ArgMatches, Setup), Error> {
    let name = path.display().to_string();
    let items = read::items(path)?;
    let (verb, given) = matches.subcommand().unwrap_or(("", matches));
    let known = options_of(verb);
    let parse = |items: &[&Item]| {
        let (program, rest) = own.split_at(own.len().min(2));
        let from_file = items.iter().map(|item| item.argument());
        let all = program.iter().cloned().chain(from_file).chain(rest.iter().cloned());
        command().try_get_matches_from(all)
    };
    let mut used = Vec::new();
    for item in &items {
        // Not every command has every option: those of records are of no use to a scan.
        if !known.contains(&item.id()) || is_given(given, &item.id()) {
            continue;
        }
        match parse(&[item]) {
            // What excludes it on the command line goes before it.
            Err(error) if error.kind() == ErrorKind::ArgumentConflict => {}
            _ => used.push(item),
        }
    }
    let merged = parse(&used).map_err(|error| {
        // The line to blame is the first without which it would do.
        let without = |left_out: usize| {
            let rest = used.iter().enumerate().filter(|(n, _)| *n != left_out);
            parse(&rest.map(|(_, item)| *item).collect::<Vec<_>>())
        };
        let culprit = (0..used.len()).find(|n| without(*n).is_ok()).and_then(|n| used.get(n));
        let place = culprit.map_or(Place::Whole, |item| Place::Line(item.line));
        Error::input(&name, place, read::in_one_line(&error), "correct it")
    })?;
    for item in used.iter().filter(|item| ["mode", "limit"].contains(&item.key.as_str())) {
        note::one(format_args!("{name}: line {}: {} is {}", item.line, item.key, item.value));
    }
    Ok((merged, Setup { name, items }))
}

/// The names that the parser has for a command's options. (What was parsed knows of them in debug
/// builds alone.)
fn options_of(verb: &str) -> Vec<String> {
    let command = command();
    let options = command.find_subcommand(verb).into_iter().flat_map(clap::Command::get_arguments);
    options.map(|option| option.get_id().as_str().to_owned()).collect()
}

impl Setup {
    /// The error, with the line of the file where that has brought it about.
    #[must_use]
    pub fn locate(&self, error: Error) -> Error {
        let (problem, remedy) = match &error {
            Error::Usage { problem, remedy } => (problem.clone(), remedy.clone()),
            Error::Config(config) => {
                let found = option_problem(config);
                let (problem, remedy) =
                    found.unwrap_or_else(|| (format!("--{config}"), "correct it"));
                (problem, remedy.to_owned())
            }
            _ => return error,
        };
        // Where several are named, it is about the first.
        let named = |item: &Item| {
            let option = format!("--{}", item.key);
            let after = |at: usize| problem[at + option.len()..].chars().next();
            let ends = |c: char| !(c.is_alphanumeric() || c == '-');
            let mut places = problem.match_indices(&option).map(|(at, _)| at);
            places.find(|at| after(*at).is_none_or(ends))
        };
        let items = self.items.iter().filter_map(|item| Some((named(item)?, item)));
        let Some((_, item)) = items.min_by_key(|(at, _)| *at) else { return error };
        Error::input(&self.name, Place::Line(item.line), problem, remedy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_of_records_are_of_no_use_to_a_scan() {
        let [scan, view] = ["scan", "view"].map(options_of);
        let pre = |options: &[String]| options.iter().any(|option| option == "pre");
        assert!(!pre(&scan) && pre(&view));
        assert!(scan.contains(&"level".to_owned()));

        let given = command().try_get_matches_from(["stillwave", "scan", "-", "--level", "1"]);
        let given = given.unwrap();
        let (_, given) = given.subcommand().unwrap();
        let kept =
            Item { table: "record", key: "pre".to_owned(), value: "5ms".to_owned(), line: 1 };
        let text = write::text(given, &scan, &[kept]);
        assert_eq!(text, "[trigger]\nlevel = 1\n\n[record]\npre = \"5ms\"\n");
    }
}
