//! How often what came: bars, with the bounds that were asked for.

use std::fmt::Write as _;
use std::path::Path;

use svg::Document;
use svg::node::element::Group;

use super::shapes::{dashed, line, rectangle, text};
use super::style::{
    FAMILY, FIELD, FRAME, GRID, INK, LABEL_SIZE, MARK, PAPER, SOFT_INK, TITLE_SIZE, TRACE, fit,
    width,
};
use super::ticks::{Axis, Quantity, value_text};
use super::{Size, Unit, png};
use crate::error::Error;
use crate::quantity::format_si;

/// A histogram.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    /// What is counted.
    pub title: String,
    /// The condition in words.
    pub condition: String,
    /// What the axis is: `time`, `voltage`.
    pub axis: &'static str,
    /// The unit of values; none for times.
    pub unit: Option<Unit>,
    /// Samples a second, where times are in seconds.
    pub rate: Option<f64>,
    /// The bars next to each other: from where, up to where, how many.
    pub bars: Vec<(f64, f64, u64)>,
    /// Bounds, with their names.
    pub bounds: Vec<(String, f64)>,
}

impl Histogram {
    /// The histogram as text, a bar a line, with the bounds as lines between them.
    pub fn draw_terminal(&self, columns: usize) -> String {
        let most = self.bars.iter().map(|bar| bar.2).max().unwrap_or(0).max(1);
        let labels: Vec<String> = self.bars.iter().map(|bar| self.show(bar.0)).collect();
        let widest = labels.iter().map(|label| label.chars().count()).max().unwrap_or(0);
        let room = columns.saturating_sub(widest + 14).max(10);
        let mut text = format!("{}\n", self.title);
        let mut bounds: Vec<&(String, f64)> = self.bounds.iter().collect();
        bounds.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut bounds = bounds.into_iter().peekable();
        for ((low, high, count), label) in self.bars.iter().zip(&labels) {
            let middle = f64::midpoint(*low, *high);
            while let Some((name, at)) = bounds.next_if(|(_, at)| *at <= middle) {
                text += &self.bound_line(name, *at, widest, room);
            }
            let gap = widest - label.chars().count();
            let bar = bar(*count as f64 / most as f64, room);
            let number = if *count > 0 { format!(" {count}") } else { String::new() };
            let _ = writeln!(text, "{}{label} │{bar}{number}", " ".repeat(gap));
        }
        for (name, at) in bounds {
            text += &self.bound_line(name, *at, widest, room);
        }
        text
    }

    fn bound_line(&self, name: &str, at: f64, widest: usize, room: usize) -> String {
        let words = format!(" {name} {} ", self.show(at));
        let rest = room.saturating_sub(words.chars().count());
        format!("{} ┼╌╌{words}{}\n", " ".repeat(widest), "╌".repeat(rest))
    }

    /// Draws it as PNG.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn draw_png(&self, path: &Path, size: Size, overwrite: bool) -> Result<(), Error> {
        png::write_png(&self.svg(size), path, overwrite)
    }

    /// The histogram as an SVG document.
    pub fn svg(&self, size: Size) -> String {
        let (right_edge, bottom_edge) = (f64::from(size.width), f64::from(size.height));
        let (left, top, right, bottom) = (70.0, 96.0, right_edge - 28.0, bottom_edge - 58.0);
        let (low, high) = match (self.bars.first(), self.bars.last()) {
            (Some(first), Some(last)) => (first.0, last.1),
            _ => (0.0, 1.0),
        };
        let most = self.bars.iter().map(|bar| bar.2).max().unwrap_or(0).max(1) as f64;
        let x = |value: f64| left + (value - low) / (high - low) * (right - left);
        let y = |count: f64| bottom - count / (most * 1.15) * (bottom - top);
        let across = Axis::new(low, high, self.quantity(), ((right - left) / 80.0) as usize);
        let up = Axis::new(0.0, most, Quantity::Samples, ((bottom - top) / 55.0) as usize);
        let mut drawing = Group::new();
        for tick in &across.ticks {
            let at = x(tick.at);
            drawing = drawing.add(line(at, top, at, bottom, GRID)).add(text(
                &tick.label,
                at,
                bottom + 20.0,
                "middle",
            ));
        }
        for tick in &up.ticks {
            let at = y(tick.at);
            drawing = drawing.add(line(left, at, right, at, GRID)).add(text(
                &tick.label,
                left - 10.0,
                at + 4.5,
                "end",
            ));
        }
        for (from, to, count) in self.bars.iter().filter(|bar| bar.2 > 0) {
            // One is to be seen beside thousands.
            let peak = y(*count as f64).min(bottom - 3.0);
            let (from, to) = (x(*from) + 1.0, x(*to) - 1.0);
            drawing = drawing.add(rectangle(from, peak, to - from, bottom - peak, TRACE));
        }
        for (n, (name, at)) in self.bounds.iter().enumerate() {
            let words = format!("{name} {}", self.show(*at));
            // Beside the line where it does not go over the edge.
            let (beside, anchor) = if x(*at) + width(&words, LABEL_SIZE) + 8.0 < right {
                (6.0, "start")
            } else {
                (-6.0, "end")
            };
            let place = top + 16.0 + 18.0 * n as f64;
            drawing = drawing
                .add(dashed(line(x(*at), top, x(*at), bottom, MARK)))
                .add(text(&words, x(*at) + beside, place, anchor).set("fill", MARK));
        }
        let middle = f64::midpoint(left, right);
        let across_title = across.title.replace("time from the trigger", self.axis);
        let head = |words: &str, size: f64| fit(words, size, right_edge - 44.0);
        Document::new()
            .set("width", size.width)
            .set("height", size.height)
            .set("viewBox", (0, 0, size.width, size.height))
            .set("font-family", FAMILY)
            .set("font-size", LABEL_SIZE)
            .set("fill", SOFT_INK)
            .add(rectangle(0.0, 0.0, right_edge, bottom_edge, PAPER))
            .add(rectangle(left, top, right - left, bottom - top, FIELD))
            .add(drawing)
            .add(rectangle(left, top, right - left, bottom - top, "none").set("stroke", FRAME))
            .add(text(&across_title, middle, bottom + 44.0, "middle"))
            .add(text("how many", left, top - 10.0, "middle"))
            .add(
                text(&head(&self.title, TITLE_SIZE), 22.0, 30.0, "start")
                    .set("fill", INK)
                    .set("font-size", TITLE_SIZE)
                    .set("font-weight", 600),
            )
            .add(text(&head(&self.condition, LABEL_SIZE), 22.0, 52.0, "start"))
            .to_string()
    }

    fn quantity(&self) -> Quantity {
        match (self.unit, self.rate) {
            (Some(unit), _) => Quantity::Value(unit),
            (None, Some(_)) => Quantity::Seconds,
            (None, None) => Quantity::Samples,
        }
    }

    fn show(&self, value: f64) -> String {
        match self.quantity() {
            Quantity::Seconds => format_si(value, "s", 4),
            Quantity::Samples => format!("{value:.1} samples"),
            Quantity::Value(unit) => value_text(value, unit),
        }
    }
}

/// A bar of a part of `room` characters, to an eighth of one.
fn bar(part: f64, room: usize) -> String {
    const EIGHTHS: [&str; 8] = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let eighths = (part * room as f64 * 8.0).ceil() as usize;
    format!("{}{}", "█".repeat(eighths / 8), EIGHTHS[eighths % 8])
}
