//! Numbers in the fields of a line.

use super::lines::Lines;
use crate::error::{Error, Place};
use crate::quantity::{be, counted};

/// A number as text, where it is one.
pub(super) fn number(field: &[u8]) -> Option<f64> {
    fast_float2::parse(field).ok()
}

pub(super) fn check_width(lines: &Lines<'_>, width: usize) -> Result<(), Error> {
    if lines.width() == width {
        return Ok(());
    }
    let columns = counted(lines.width() as u64, "column");
    Err(Error::input(
        lines.name(),
        Place::Line(lines.line()),
        format!("there {} {columns} here and {width} before", be(lines.width() as u64)),
        "give every line the same columns",
    ))
}

pub(super) fn time_at(lines: &Lines<'_>, index: usize) -> Result<f64, Error> {
    number(lines.field(index)).filter(|time| time.is_finite()).ok_or_else(|| {
        not_a_number(lines, index, "correct it or choose another column with --time-column")
    })
}

#[cold]
pub(super) fn not_a_number(lines: &Lines<'_>, index: usize, remedy: &str) -> Error {
    let field = lines.field(index);
    let problem = if field.is_empty() {
        "the field is empty".to_owned()
    } else {
        let text = String::from_utf8_lossy(field);
        let start: String = text.chars().take(40).collect();
        format!("{start:?} is not a number")
    };
    let place = Place::Field { line: lines.line(), column: index + 1 };
    Error::input(lines.name(), place, problem, remedy)
}
