//! Setup files written.

use std::fmt::Write as _;

use clap::ArgMatches;
use stillwave::{RecordShape, Sample};

use super::read::{Item, TABLES, keys};
use super::rust;
use crate::args::TriggerArgs;
use crate::error::Error;
use crate::export::WholeFile;
use crate::note;
use crate::plan::TriggerPlan;

/// Writes the setup where the options ask for it.
///
/// # Errors
/// A file of another name's ending, or one that is there already.
pub fn save<T: Sample>(
    args: &TriggerArgs,
    plan: &TriggerPlan<T>,
    shape: Option<RecordShape>,
) -> Result<(), Error> {
    let Some(path) = &args.file.save_setup else { return Ok(()) };
    let text = match path.extension().and_then(|ending| ending.to_str()) {
        Some("toml") => args.file.text.clone(),
        Some("rs") => rust::text(plan, args, shape)?,
        _ => {
            return Err(Error::usage(
                format!("--save-setup {}: the name does not say what to write", path.display()),
                "end it with .toml for a setup file, or .rs for constants in Rust",
            ));
        }
    };
    // The file that was read may be changed.
    let overwrite = args.file.overwrite || args.file.setup.as_deref() == Some(path);
    let mut file = WholeFile::create(path, overwrite)?;
    file.put(text.as_bytes())?;
    file.finish()?;
    note::one(format_args!("the setup is in {}", path.display()));
    Ok(())
}

/// The options as a setup file has them: those given, and those of `file` that are not `known` to
/// this command.
pub(super) fn text(given: &ArgMatches, known: &[String], file: &[Item]) -> String {
    let mut text = String::new();
    for (table, options) in TABLES {
        let mut lines = String::new();
        for (key, id) in keys(options) {
            let value = if !known.contains(&id) {
                match file.iter().find(|item| item.table == table && item.key == key) {
                    Some(item) => vec![item.value.clone()],
                    None => continue,
                }
            } else if is_given(given, &id) {
                let values = given.get_raw(&id).into_iter().flatten();
                values.map(|value| value.to_string_lossy().into_owned()).collect()
            } else {
                continue;
            };
            let _ = writeln!(lines, "{key} = {}", toml_value(&value));
        }
        if !lines.is_empty() {
            let gap = if text.is_empty() { "" } else { "\n" };
            let _ = write!(text, "{gap}[{table}]\n{lines}");
        }
    }
    text
}

/// Whether an option is on the command line.
pub(super) fn is_given(given: &ArgMatches, id: &str) -> bool {
    given.value_source(id) == Some(clap::parser::ValueSource::CommandLine)
}

fn toml_value(values: &[String]) -> String {
    let one = |value: &String| match value.parse::<i64>() {
        Ok(number) => number.to_string(),
        Err(_) => toml::Value::String(value.clone()).to_string(),
    };
    match values {
        [value] => one(value),
        _ => format!("[{}]", values.iter().map(one).collect::<Vec<_>>().join(", ")),
    }
}
