//! What the first lines of a text say: delimiter, names, units.

use stillwave::Scale;

use super::super::Channel;
use super::super::title::{is_counts, split_unit, time_of_one, volts_of};
use super::fields::number;
use super::lines::Lines;
use crate::error::{Error, Place};
use crate::quantity::{be, counted};

/// What the columns are.
pub(super) struct Columns {
    /// How many lines come before the first with numbers, blank ones and comments aside.
    pub(super) header_lines: usize,
    /// How many fields every line has.
    pub(super) width: usize,
    pub(super) time: Option<TimeColumn>,
    /// The columns that are channels.
    pub(super) channels: Vec<(usize, Channel)>,
}

/// The column of times.
#[derive(Clone, Copy)]
pub(super) struct TimeColumn {
    pub(super) index: usize,
    /// Seconds to one of its units; not known for a unit that is no time.
    pub(super) seconds: Option<f64>,
}

/// Whether a line is neither blank nor a comment.
pub(super) fn says_something(line: &[u8]) -> bool {
    line.trim_ascii_start().first().is_some_and(|&first| first != b'#')
}

/// Finds what parts the columns, judging by the lines that are not comments.
///
/// The comma comes late, since with the others before it may be a decimal comma.
pub(super) fn delimiter(head: &[u8]) -> u8 {
    let lines: Vec<&[u8]> =
        head.split(|byte| *byte == b'\n').filter(|line| says_something(line)).take(20).collect();
    *[b'\t', b';', b'|', b',', b' ']
        .iter()
        .find(|delimiter| {
            let with = lines.iter().filter(|line| line.contains(delimiter)).count();
            with * 2 > lines.len()
        })
        .unwrap_or(&b',')
}

/// Reads up to and including the first line with a number; `None` where there is none.
pub(super) fn columns(
    lines: &mut Lines<'_>,
    time_column: Option<usize>,
) -> Result<Option<Columns>, Error> {
    // One line of names, and one of units.
    let mut header: Vec<Vec<String>> = Vec::new();
    loop {
        if !lines.advance()? {
            return Ok(None);
        }
        let width = lines.width();
        if header.len() == 2 || (0..width).any(|i| number(lines.field(i)).is_some()) {
            break;
        }
        let text = |i| String::from_utf8_lossy(lines.field(i)).into_owned();
        header.push((0..width).map(text).collect());
    }
    let width = lines.width();
    if let Some(names) = header.iter().find(|names| names.len() != width) {
        let columns = counted(width as u64, "column");
        return Err(Error::input(
            lines.name(),
            Place::Line(lines.line()),
            format!("there {} {columns} here and {} in the header", be(width as u64), names.len()),
            "give every line the same columns, or state what parts them with --delimiter",
        ));
    }
    let mut titles = header.into_iter();
    let names = titles.next();
    let units = titles.next();
    let title = |i: usize| {
        let name = names.as_ref().map_or("", |names| names[i].trim());
        match &units {
            Some(units) => (name, units[i].trim().trim_matches(['(', ')', '[', ']'])),
            None => split_unit(name),
        }
    };

    let time = time_of(time_column, width, title).map_err(|problem| {
        Error::usage(format!("{}: {problem}", lines.name()), "choose another with --time-column")
    })?;
    // A delimiter at the end of every line leaves a column of nothing.
    let ghost = width > 1 && lines.field(width - 1).is_empty() && title(width - 1).0.is_empty();
    let channels = (0..width - usize::from(ghost))
        .filter(|i| time.is_none_or(|time| time.index != *i))
        .map(|i| {
            let (_, unit) = title(i);
            let whole = names.as_ref().map_or("", |names| names[i].trim());
            let scale = volts_of(unit).map(|volts_per_count| Scale { volts_per_count, zero: 0.0 });
            (
                i,
                Channel {
                    name: (!whole.is_empty()).then(|| whole.to_owned()),
                    scale,
                    counts: is_counts(unit),
                    ..Channel::default()
                },
            )
        })
        .collect();
    let header_lines = usize::from(names.is_some()) + usize::from(units.is_some());
    Ok(Some(Columns { header_lines, width, time, channels }))
}

/// The column of times: as the user says, or by its name.
fn time_of<'a>(
    wanted: Option<usize>,
    width: usize,
    title: impl Fn(usize) -> (&'a str, &'a str),
) -> Result<Option<TimeColumn>, String> {
    match wanted {
        Some(index) if index < width => {
            let (_, unit) = title(index);
            // A unit that only looks like one is part of the name.
            Ok(Some(TimeColumn { index, seconds: Some(seconds_of(unit).unwrap_or(1.0)) }))
        }
        Some(index) => Err(format!("there is no column {}", index.saturating_add(1))),
        None => Ok((0..width).find_map(|index| {
            let (name, unit) = title(index);
            let name = name.to_lowercase();
            let says_time = ["time", "t", "seconds", "second", "sec", "s", "timestamp"];
            says_time
                .contains(&name.as_str())
                .then(|| TimeColumn { index, seconds: seconds_of(unit) })
        })),
    }
}

fn seconds_of(unit: &str) -> Option<f64> {
    match unit.to_lowercase().as_str() {
        "" | "sec" | "second" | "seconds" => return Some(1.0),
        _ => {}
    }
    time_of_one(unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn delimiters() {
        assert_eq!(delimiter(b"time,a\n1,2\n3,4\n"), b',');
        assert_eq!(delimiter(b"1,5;2,5\n1,6;2,7\n"), b';');
        assert_eq!(delimiter(b"a b\t2\n1\t2\n"), b'\t');
        assert_eq!(delimiter(b"# a;b;c\n1 2\n3 4"), b' ');
        assert_eq!(delimiter(b"1 | 2\n"), b'|');
        assert_eq!(delimiter(b"1\n2\n"), b',');
        assert_eq!(delimiter(b""), b',');
    }

    #[test]
    fn units() {
        assert_eq!(seconds_of("ms"), Some(0.001));
        assert_eq!(seconds_of(""), Some(1.0));
        assert_eq!(seconds_of("h"), None);
    }
}
