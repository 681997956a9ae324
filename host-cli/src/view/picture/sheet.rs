//! Where everything is in the drawing, and its axes.

use svg::node::element::{Group, Rectangle};

use super::super::Size;
use super::super::overlay::Overlay;
use super::super::shapes::{line, rectangle, text};
use super::super::style::{FRAME, GRID, LABEL_SIZE, width};
use super::super::ticks::{Axis, Quantity};

/// The picture's measures: the field where the records are is from `left`, `top` to `right`,
/// `bottom`, in whole pixels.
pub(super) struct Sheet<'a> {
    pub(super) overlay: &'a Overlay,
    pub(super) size: Size,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
    /// Values at the bottom and at the top.
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) across: Axis,
    pub(super) up: Axis,
}

impl<'a> Sheet<'a> {
    pub(super) fn new(overlay: &'a Overlay, size: Size) -> Self {
        let meta = &overlay.meta;
        let (low, high) = overlay.values();
        let (total_width, total_height) = (f64::from(size.width), f64::from(size.height));
        let (top, bottom) = (86.0, total_height - 58.0);
        let up = Axis::new(low, high, Quantity::Value(meta.unit), ((bottom - top) / 55.0) as usize);
        let widest = |labels: &mut dyn Iterator<Item = String>| {
            labels.map(|label| width(&label, LABEL_SIZE)).fold(0.0, f64::max)
        };
        let left = 52.0 + widest(&mut up.ticks.iter().map(|tick| tick.label.clone()));
        let marks = widest(&mut meta.marks.iter().map(|mark| overlay.mark_text(mark)));
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

    pub(super) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Where a time in samples is.
    pub(super) fn x(&self, time: f64) -> f64 {
        let window = self.overlay.window;
        self.left + (time - window.start) / (window.end - window.start) * self.width()
    }

    /// Where a value is.
    pub(super) fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.low) / (self.high - self.low) * self.height()
    }

    pub(super) fn axes(&self) -> Group {
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

    pub(super) fn frame(&self) -> Rectangle {
        rectangle(self.left, self.top, self.width(), self.height(), "none").set("stroke", FRAME)
    }
}
