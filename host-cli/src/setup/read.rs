//! A setup file, read into options.

use std::ffi::OsString;
use std::path::Path;

use clap::{Args, Command};
use toml::de::{DeTable, DeValue};

use crate::args::{RecordArgs, ScaleArgs, TriggerArgs};
use crate::error::{Error, Place};
use crate::settings;

/// Adds a group of options to a command.
type Options = fn(Command) -> Command;

/// The tables of a setup file, each with the options that are its keys.
pub(super) const TABLES: [(&str, Options); 3] = [
    ("scale", ScaleArgs::augment_args),
    ("trigger", TriggerArgs::augment_args),
    ("record", RecordArgs::augment_args),
];

/// The options that say where the file is.
const NO_KEYS: [&str; 2] = ["setup", "save-setup"];

/// An option that a setup file sets.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub(super) table: &'static str,
    pub(super) key: String,
    pub(super) value: String,
    /// From 1.
    pub(super) line: u64,
}

impl Item {
    /// As it would stand on the command line.
    pub(super) fn argument(&self) -> OsString {
        format!("--{}={}", self.key, self.value).into()
    }

    /// The name that the parser of the command line has for it.
    pub(super) fn id(&self) -> String {
        let (_, options) =
            TABLES.iter().find(|(name, _)| *name == self.table).unwrap_or(&TABLES[1]);
        id_of(&options(Command::new("")), &self.key).unwrap_or_default()
    }
}

/// The keys of a table, each with the name that the parser has for it.
pub(super) fn keys(options: Options) -> Vec<(String, String)> {
    let command = options(Command::new(""));
    let names = command.get_arguments().filter_map(|option| {
        Some((option.get_long()?.to_owned(), option.get_id().as_str().to_owned()))
    });
    names.filter(|(key, _)| !NO_KEYS.contains(&key.as_str())).collect()
}

fn id_of(command: &Command, key: &str) -> Option<String> {
    let option = command.get_arguments().find(|option| option.get_long() == Some(key))?;
    Some(option.get_id().as_str().to_owned())
}

/// What a file sets, each key known and each value what the option takes.
pub(super) fn items(path: &Path) -> Result<Vec<Item>, Error> {
    let name = path.display().to_string();
    let text = settings::read(path, "a setup file, as --save-setup writes it")?;
    let line = |at: usize| 1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count() as u64;
    let fault = |at: usize, problem: String, remedy: String| {
        Error::input(&name, Place::Line(line(at)), problem, remedy)
    };
    let root = DeTable::parse(&text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        let problem = error.message().lines().next().unwrap_or("it is not TOML").to_owned();
        fault(at, problem, "write it as TOML: key = \"value\"".to_owned())
    })?;
    let mut items = Vec::new();
    for (table, content) in root.get_ref() {
        let known = TABLES.iter().find(|(known, _)| known == table.get_ref());
        let (&(known, options), DeValue::Table(content)) = (
            known.ok_or_else(|| {
                fault(
                    table.span().start,
                    format!("there is no \"{}\" in a setup file", table.get_ref()),
                    "its tables are [scale], [trigger] and [record]".to_owned(),
                )
            })?,
            content.get_ref(),
        ) else {
            let problem = format!("\"{}\" is not a table", table.get_ref());
            let remedy = format!("write [{}] on a line of its own", table.get_ref());
            return Err(fault(table.span().start, problem, remedy));
        };
        for (key, value) in content {
            let at = key.span().start;
            let names = keys(options);
            if !names.iter().any(|(name, _)| name == key.get_ref()) {
                return Err(fault(at, unknown(known, key.get_ref()), meant(key.get_ref(), &names)));
            }
            let value = plain(value.get_ref()).ok_or_else(|| {
                let problem = format!("{} has no such value", key.get_ref());
                fault(at, problem, "write a number, or words in quotation marks".to_owned())
            })?;
            let key = key.get_ref().to_string();
            let item = Item { table: known, key, value, line: line(at) };
            check(options, &item).map_err(|said| fault(at, said, "correct it".to_owned()))?;
            items.push(item);
        }
    }
    items.sort_by_key(|item| item.line);
    Ok(items)
}

/// A value as it would be typed; an array with commas.
fn plain(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(number) => Some(number.to_string()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        DeValue::Boolean(truth) => Some(truth.to_string()),
        DeValue::Array(values) => {
            let values: Option<Vec<_>> =
                values.iter().map(|value| plain(value.get_ref())).collect();
            Some(values?.join(","))
        }
        DeValue::Datetime(_) | DeValue::Table(_) => None,
    }
}

/// What is wrong with a value by itself.
fn check(options: Options, item: &Item) -> Result<(), String> {
    let command = options(Command::new("setup").no_binary_name(true));
    match command.try_get_matches_from([item.argument()]) {
        Ok(_) => Ok(()),
        // What it needs may come from elsewhere.
        Err(error) if error.kind() == clap::error::ErrorKind::MissingRequiredArgument => Ok(()),
        Err(error) => Err(in_one_line(&error)),
    }
}

/// What the parser of the command line has to say, without what is of use there only.
pub(super) fn in_one_line(error: &clap::Error) -> String {
    let text = error.to_string();
    let said = text.split("\n\nFor more").next().unwrap_or(&text);
    let said = said.split("\n\nUsage").next().unwrap_or(said);
    let words: Vec<_> = said.split_whitespace().collect();
    words.join(" ").trim_start_matches("error: ").to_owned()
}

fn unknown(table: &str, key: &str) -> String {
    format!("[{table}] has no key \"{key}\"")
}

/// The keys that one may have meant.
fn meant(key: &str, names: &[(String, String)]) -> String {
    let alike = |name: &str| name.contains(key) || key.contains(name) || near(name, key);
    let alike: Vec<_> = names.iter().map(|(name, _)| name.as_str()).filter(|n| alike(n)).collect();
    match alike[..] {
        [] => "its keys are the options of that group, as the help has them".to_owned(),
        _ => format!("did you mean {}?", alike.join(" or ")),
    }
}

/// Whether two words differ in a letter, or in two that stand next to each other.
fn near(a: &str, b: &str) -> bool {
    let common = a.bytes().zip(b.bytes()).take_while(|(a, b)| a == b).count();
    let tail = a[common.min(a.len())..]
        .bytes()
        .rev()
        .zip(b[common.min(b.len())..].bytes().rev())
        .take_while(|(a, b)| a == b)
        .count();
    a.len().max(b.len()) - common - tail <= 2 && a.is_ascii() && b.is_ascii()
}
