//! The drawing: layout, axes, records, marks.

use std::fmt::Write as _;

use svg::Document;
use svg::node::element::{Group, Line, Path, Rectangle, Text};

use super::overlay::Overlay;
use super::style::{
    FAMILY, FIELD, FRAME, GRID, INK, LABEL_SIZE, LAST, MARK, MINOR_MARK, PAPER, SOFT_INK,
    TITLE_SIZE, TRACE, fit, width,
};
use super::ticks::{Axis, Quantity, value_text};
use super::trace::Trace;
use super::{Mark, Size};
use crate::error::Error;

/// Steps of opacity in which the number of records is shown.
const SHADES: usize = 8;

/// Draws an overlay as an SVG document.
pub(super) fn svg(overlay: &Overlay, size: Size) -> Result<String, Error> {
    const SIZES: std::ops::RangeInclusive<u32> = 240..=16_384;
    if !SIZES.contains(&size.width) || !SIZES.contains(&size.height) {
        return Err(Error::usage(
            format!("a picture of {} × {} pixels cannot be drawn", size.width, size.height),
            format!("choose from {} to {} pixels each way", SIZES.start(), SIZES.end()),
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
        .add(sheet.records())
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
        let (middle, centre) = ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0);
        let upright = text(&self.up.title, 0.0, 0.0, "middle")
            .set("transform", format!("translate(22 {centre:.1}) rotate(-90)"));
        group.add(text(&self.across.title, middle, self.bottom + 44.0, "middle")).add(upright)
    }

    fn frame(&self) -> Rectangle {
        rectangle(self.left, self.top, self.width(), self.height(), "none").set("stroke", FRAME)
    }

    fn records(&self) -> Group {
        let mut group = Group::new().set("fill", "none").set("stroke-linejoin", "round");
        match self.overlay.lines() {
            Some(lines) => {
                // The more there are, the fainter each; one alone is plain.
                let others = lines.len().saturating_sub(1);
                let opacity = (2.0 / (others as f64).sqrt()).clamp(0.25, 0.7);
                for trace in lines.iter().take(others) {
                    group = group.add(
                        self.trace(trace)
                            .set("stroke", TRACE)
                            .set("stroke-width", 1.2)
                            .set("stroke-opacity", format!("{opacity:.2}")),
                    );
                }
            }
            None => group = group.add(self.density()),
        }
        match self.overlay.recent.back() {
            Some(last) => group.add(self.trace(last).set("stroke", LAST).set("stroke-width", 1.6)),
            None => group.add(
                text(
                    "no record",
                    (self.left + self.right) / 2.0,
                    (self.top + self.bottom) / 2.0,
                    "middle",
                )
                .set("fill", SOFT_INK)
                .set("font-size", TITLE_SIZE),
            ),
        }
    }

    /// A line through a record, within the field.
    fn trace(&self, trace: &Trace) -> Path {
        let mut data = String::new();
        let mut pen_down = false;
        for point in &trace.points {
            let (x, y) = (self.x(point.time), self.y(point.value));
            // A neighbour outside the field would be drawn over the frame.
            if !y.is_finite() || x < self.left - 1.0 || x > self.right + 1.0 {
                pen_down = false;
                continue;
            }
            let command = if pen_down { 'L' } else { 'M' };
            // Writing to a string cannot fail.
            let _ = write!(data, "{command}{x:.2} {y:.2}");
            pen_down = true;
        }
        Path::new().set("d", data)
    }

    /// All records: the more passed a place, the darker it is, by the logarithm, so that a single
    /// one among thousands is still seen.
    fn density(&self) -> Group {
        let (across, down) = (self.width() as usize, self.height() as usize);
        let cells = self.overlay.grid.resample(across, down, self.low, self.high);
        let most = f64::from(cells.iter().copied().max().unwrap_or(0));
        let shade = |count: u32| match count {
            0 => 0,
            _ if most <= 1.0 => SHADES,
            _ => 1 + (f64::from(count).ln() / most.ln() * (SHADES - 1) as f64).round() as usize,
        };
        let mut strokes = vec![String::new(); SHADES + 1];
        for column in 0..across {
            let mut run = (0, 0);
            for row in 0..=down {
                let cell = if row < down { cells.get(row * across + column) } else { None };
                let this = cell.map_or(0, |count| shade(*count));
                if this != run.0 {
                    let (old, from) = run;
                    if let Some(data) = strokes.get_mut(old).filter(|_| old > 0) {
                        // Whole pixels, a column wide: neighbours meet without a seam.
                        let (x, y) = (self.left + column as f64 + 0.5, self.top + from as f64);
                        let _ = write!(data, "M{x} {y}v{}", row - from);
                    }
                    run = (this, row);
                }
            }
        }
        let mut group = Group::new().set("stroke", TRACE).set("shape-rendering", "crispEdges");
        for (shade, data) in strokes.into_iter().enumerate().filter(|(_, data)| !data.is_empty()) {
            let opacity = 0.16 + 0.74 * (shade - 1) as f64 / (SHADES - 1) as f64;
            group = group
                .add(Path::new().set("d", data).set("stroke-opacity", format!("{opacity:.2}")));
        }
        group
    }

    /// Levels and the trigger instant, with their names outside the field.
    fn marks(&self) -> Group {
        let trigger = self.x(0.0);
        let mut group = Group::new()
            .add(dashed(line(trigger, self.top, trigger, self.bottom, MARK)))
            .add(text("trigger", trigger, self.top - 8.0, "middle").set("fill", MARK));
        let mut marks: Vec<&Mark> = self.overlay.meta.marks.iter().collect();
        marks.retain(|mark| mark.value.is_finite());
        marks.sort_by(|a, b| b.value.total_cmp(&a.value));
        let places = spread(&marks.iter().map(|mark| self.y(mark.value)).collect::<Vec<_>>(), 16.0);
        for (mark, place) in marks.into_iter().zip(places) {
            let y = self.y(mark.value);
            let colour = if mark.minor { MINOR_MARK } else { MARK };
            group = group.add(dashed(line(self.left, y, self.right, y, colour))).add(
                text(&mark_text(mark, self.overlay), self.right + 10.0, place + 4.5, "start")
                    .set("fill", colour),
            );
        }
        group
    }

    /// Title, condition, and what was found.
    fn head(&self) -> Group {
        let meta = &self.overlay.meta;
        let right = f64::from(self.size.width) - 18.0;
        let legend = self.legend(right);
        let (legend, legend_left) = legend;
        let found = found(self.overlay);
        let room = right - 22.0 - width(&found, LABEL_SIZE) - 24.0;
        Group::new()
            .add(
                text(&fit(&meta.title, TITLE_SIZE, legend_left - 22.0 - 24.0), 22.0, 30.0, "start")
                    .set("fill", INK)
                    .set("font-size", TITLE_SIZE)
                    .set("font-weight", 600),
            )
            .add(text(&fit(&meta.condition, LABEL_SIZE, room), 22.0, 52.0, "start"))
            .add(text(&found, right, 52.0, "end"))
            .add(legend)
    }

    /// What the lines are, and where this begins.
    fn legend(&self, right: f64) -> (Group, f64) {
        let records = self.overlay.records();
        let mut group = Group::new();
        let mut x = right;
        let mut entry = |label: &str, colour: &str, thickness: f64, opacity: f64| {
            group = std::mem::take(&mut group).add(text(label, x, 30.0, "end")).add(
                line(
                    x - width(label, LABEL_SIZE) - 32.0,
                    25.5,
                    x - width(label, LABEL_SIZE) - 8.0,
                    25.5,
                    colour,
                )
                .set("stroke-width", thickness)
                .set("stroke-opacity", opacity),
            );
            x -= width(label, LABEL_SIZE) + 54.0;
        };
        if records > 0 {
            entry(if records > 1 { "last record" } else { "record" }, LAST, 2.0, 1.0);
        }
        if records > 1 {
            entry("all records", TRACE, 8.0, 0.5);
        }
        (group, x)
    }
}

/// What was found, in words.
pub(super) fn found(overlay: &Overlay) -> String {
    let tally = overlay.meta.tally;
    let counted = |count: u64, one: &str, many: &str| {
        format!("{count} {}", if count == 1 { one } else { many })
    };
    let mut parts = vec![counted(overlay.records(), "record", "records")];
    if tally.events > 0 {
        parts.push(counted(tally.events, "event", "events"));
    }
    if tally.held_off > 0 {
        parts.push(format!("{} held off", tally.held_off));
    }
    if tally.forced > 0 {
        parts.push(format!("{} forced", tally.forced));
    }
    parts.join(" · ")
}

pub(super) fn mark_text(mark: &Mark, overlay: &Overlay) -> String {
    format!("{} {}", mark.name, value_text(mark.value, overlay.meta.unit))
}

/// Moves places that are in falling order apart until each is `gap` from the next.
fn spread(places: &[f64], gap: f64) -> Vec<f64> {
    let mut spread: Vec<f64> = Vec::with_capacity(places.len());
    for place in places {
        let least = spread.last().map_or(f64::NEG_INFINITY, |last| last + gap);
        spread.push(place.max(least));
    }
    spread
}

fn rectangle(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", x)
        .set("y", y)
        .set("width", width)
        .set("height", height)
        .set("fill", fill)
}

fn line(x1: f64, y1: f64, x2: f64, y2: f64, stroke: &str) -> Line {
    let place = |value: f64| format!("{value:.2}");
    Line::new()
        .set("x1", place(x1))
        .set("y1", place(y1))
        .set("x2", place(x2))
        .set("y2", place(y2))
        .set("stroke", stroke)
}

fn dashed(line: Line) -> Line {
    line.set("stroke-dasharray", "6 4").set("stroke-width", 1.2)
}

fn text(content: &str, x: f64, y: f64, anchor: &str) -> Text {
    Text::new(content)
        .set("x", format!("{x:.1}"))
        .set("y", format!("{y:.1}"))
        .set("text-anchor", anchor)
        .set("stroke", "none")
}
