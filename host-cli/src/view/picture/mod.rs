//! The drawing: layout, axes, records, marks.

mod bounds;
mod records;
mod words;

use std::ops::RangeInclusive;

use svg::Document;
use svg::node::element::{Group, Line, Rectangle, Text};

use super::Size;
use super::overlay::Overlay;
use super::style::{FAMILY, FIELD, FRAME, GRID, LABEL_SIZE, PAPER, SOFT_INK, width};
use super::ticks::{Axis, Quantity};
use crate::error::Error;

pub(super) use words::{found, mark_text};

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

/// The picture's measures: the field where the records are is from `left`, `top` to `right`,
/// `bottom`, in whole pixels.
struct Sheet<'a> {
    overlay: &'a Overlay,
    size: Size,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    /// Values at the bottom and at the top.
    low: f64,
    high: f64,
    across: Axis,
    up: Axis,
}

impl<'a> Sheet<'a> {
    fn new(overlay: &'a Overlay, size: Size) -> Self {
        let meta = &overlay.meta;
        let (low, high) = overlay.values();
        let (total_width, total_height) = (f64::from(size.width), f64::from(size.height));
        let (top, bottom) = (86.0, total_height - 58.0);
        let up = Axis::new(low, high, Quantity::Value(meta.unit), ((bottom - top) / 55.0) as usize);
        let widest = |labels: &mut dyn Iterator<Item = String>| {
            labels.map(|label| width(&label, LABEL_SIZE)).fold(0.0, f64::max)
        };
        let left = 52.0 + widest(&mut up.ticks.iter().map(|tick| tick.label.clone()));
        let marks = widest(&mut meta.marks.iter().map(|mark| mark_text(mark, overlay)));
        let right = total_width - 28.0 - marks;
        let (left, right) =
            (left.ceil().min(total_width / 3.0).floor(), right.max(total_width / 2.0).floor());
        let (unit, rate) = match meta.rate {
            Some(rate) => (Quantity::Seconds, rate),
            None => (Quantity::Samples, 1.0),
        };
        let window = overlay.window;
        let across = Axis::new(
            window.start / rate,
            window.end / rate,
            unit,
            ((right - left) / 80.0) as usize,
        );
        Self { overlay, size, left, right, top, bottom, low, high, across, up }
    }

    fn width(&self) -> f64 {
        self.right - self.left
    }

    fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Where a time in samples is.
    fn x(&self, time: f64) -> f64 {
        let window = self.overlay.window;
        self.left + (time - window.start) / (window.end - window.start) * self.width()
    }

    /// Where a value is.
    fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.low) / (self.high - self.low) * self.height()
    }

    fn axes(&self) -> Group {
        let rate = self.overlay.meta.rate.unwrap_or(1.0);
        let mut group = Group::new();
        for tick in &self.across.ticks {
            let x = self.x(tick.at * rate);
            group = group.add(line(x, self.top, x, self.bottom, GRID)).add(text(
                &tick.label,
                x,
                self.bottom + 20.0,
                "middle",
            ));
        }
        for tick in &self.up.ticks {
            let y = self.y(tick.at);
            group = group.add(line(self.left, y, self.right, y, GRID)).add(text(
                &tick.label,
                self.left - 10.0,
                y + 4.5,
                "end",
            ));
        }
        let middle = f64::midpoint(self.left, self.right);
        let centre = f64::midpoint(self.top, self.bottom);
        let upright = text(&self.up.title, 0.0, 0.0, "middle")
            .set("transform", format!("translate(22 {centre:.1}) rotate(-90)"));
        group.add(text(&self.across.title, middle, self.bottom + 44.0, "middle")).add(upright)
    }

    fn frame(&self) -> Rectangle {
        rectangle(self.left, self.top, self.width(), self.height(), "none").set("stroke", FRAME)
    }
}

pub(super) fn rectangle(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", x)
        .set("y", y)
        .set("width", width)
        .set("height", height)
        .set("fill", fill)
}

pub(super) fn line(x1: f64, y1: f64, x2: f64, y2: f64, stroke: &str) -> Line {
    let place = |value: f64| format!("{value:.2}");
    Line::new()
        .set("x1", place(x1))
        .set("y1", place(y1))
        .set("x2", place(x2))
        .set("y2", place(y2))
        .set("stroke", stroke)
}

pub(super) fn dashed(line: Line) -> Line {
    line.set("stroke-dasharray", "6 4").set("stroke-width", 1.2)
}

pub(super) fn text(content: &str, x: f64, y: f64, anchor: &str) -> Text {
    // What XML cannot hold is nothing to read either.
    let legible =
        |letter: &char| !letter.is_control() && !matches!(letter, '\u{fffe}' | '\u{ffff}');
    Text::new(content.chars().filter(legible).collect::<String>())
        .set("x", format!("{x:.1}"))
        .set("y", format!("{y:.1}"))
        .set("text-anchor", anchor)
        .set("stroke", "none")
}
