//! The drawing: layout, axes, records, marks.

mod bounds;
mod records;
mod sheet;
mod words;

use std::ops::RangeInclusive;

use svg::Document;

use super::Size;
use super::overlay::Overlay;
use super::shapes::rectangle;
use super::style::{FAMILY, FIELD, LABEL_SIZE, PAPER, SOFT_INK};
use crate::error::Error;
use sheet::Sheet;

/// From what leaves room for the words to what a computer may hold.
const WIDTHS: RangeInclusive<u32> = 480..=8192;
const HEIGHTS: RangeInclusive<u32> = 280..=8192;

/// Draws an overlay as an SVG document.
pub(super) fn svg(overlay: &Overlay, size: Size) -> Result<String, Error> {
    if !WIDTHS.contains(&size.width) || !HEIGHTS.contains(&size.height) {
        return Err(Error::usage(
            format!("a picture of {} × {} pixels cannot be drawn", size.width, size.height),
            format!(
                "choose a width from {} to {} and a height from {} to {}",
                WIDTHS.start(),
                WIDTHS.end(),
                HEIGHTS.start(),
                HEIGHTS.end()
            ),
        ));
    }
    let sheet = Sheet::new(overlay, size);
    let document = Document::new()
        .set("width", size.width)
        .set("height", size.height)
        .set("viewBox", (0, 0, size.width, size.height))
        .set("font-family", FAMILY)
        .set("font-size", LABEL_SIZE)
        .set("fill", SOFT_INK)
        .add(rectangle(0.0, 0.0, f64::from(size.width), f64::from(size.height), PAPER))
        .add(rectangle(sheet.left, sheet.top, sheet.width(), sheet.height(), FIELD))
        .add(sheet.axes())
        .add(sheet.bounds())
        .add(sheet.records())
        .add(sheet.offences())
        .add(sheet.marks())
        .add(sheet.frame())
        .add(sheet.head());
    Ok(document.to_string())
}
