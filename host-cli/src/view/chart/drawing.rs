//! A chart as a drawing.

use std::fmt::Write as _;

use svg::Document;
use svg::node::element::{Group, Path};

use super::super::Size;
use super::super::shapes::{dashed, line, rectangle, text};
use super::super::style::{
    FAMILY, FIELD, FRAME, GRID, INK, LABEL_SIZE, LAST, MARK, OFFENCE, PAPER, SOFT_INK, TITLE_SIZE,
    TRACE, fit, width,
};
use super::super::ticks::Axis;
use super::{Chart, Look};

/// The field where the values are.
struct Sheet<'a> {
    chart: &'a Chart,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    across: Axis,
    up: Axis,
}

pub(in super::super) fn svg(chart: &Chart, size: Size) -> String {
    let (full, tall) = (f64::from(size.width), f64::from(size.height));
    let (top, bottom) = (90.0, tall - 58.0);
    let up = chart.up.axis(((bottom - top) / 55.0) as usize);
    let labels = up.ticks.iter().map(|tick| width(&tick.label, LABEL_SIZE)).fold(0.0, f64::max);
    let left = (52.0 + labels).ceil().min(full / 3.0);
    let right = full - 28.0;
    let across = chart.across.axis(((right - left) / 80.0) as usize);
    let sheet = Sheet { chart, left, right, top, bottom, across, up };
    let frame = rectangle(left, top, right - left, bottom - top, "none").set("stroke", FRAME);
    Document::new()
        .set("width", size.width)
        .set("height", size.height)
        .set("viewBox", (0, 0, size.width, size.height))
        .set("font-family", FAMILY)
        .set("font-size", LABEL_SIZE)
        .set("fill", SOFT_INK)
        .add(rectangle(0.0, 0.0, full, tall, PAPER))
        .add(rectangle(left, top, right - left, bottom - top, FIELD))
        .add(sheet.axes())
        .add(sheet.series())
        .add(sheet.flags())
        .add(frame)
        .add(sheet.head(full - 18.0))
        .to_string()
}

/// The colour of a look, the width of its line, its opacity.
fn pen(look: Look) -> (&'static str, f64, f64) {
    match look {
        Look::Line => (LAST, 1.4, 1.0),
        Look::Faint => (TRACE, 1.0, 0.6),
        Look::Filled => (TRACE, 1.0, 0.75),
        Look::Fitted => (OFFENCE, 1.6, 0.9),
    }
}

impl Sheet<'_> {
    fn x(&self, value: f64) -> f64 {
        self.left + self.chart.across.part(value) * (self.right - self.left)
    }

    fn y(&self, value: f64) -> f64 {
        // What is beyond the field stops at its edge.
        let part = self.chart.up.part(value).clamp(0.0, 1.0);
        self.bottom - part * (self.bottom - self.top)
    }

    fn axes(&self) -> Group {
        let mut group = Group::new();
        for tick in &self.across.ticks {
            let x = self.x(tick.at);
            let label = text(&tick.label, x, self.bottom + 20.0, "middle");
            group = group.add(line(x, self.top, x, self.bottom, GRID)).add(label);
        }
        for tick in &self.up.ticks {
            let y = self.y(tick.at);
            let label = text(&tick.label, self.left - 10.0, y + 4.5, "end");
            group = group.add(line(self.left, y, self.right, y, GRID)).add(label);
        }
        let middle = f64::midpoint(self.left, self.right);
        let centre = f64::midpoint(self.top, self.bottom);
        let upright = text(&self.up.title, 0.0, 0.0, "middle")
            .set("transform", format!("translate(22 {centre:.1}) rotate(-90)"));
        group.add(text(&self.across.title, middle, self.bottom + 44.0, "middle")).add(upright)
    }

    fn series(&self) -> Group {
        let mut group = Group::new().set("fill", "none").set("stroke-linejoin", "round");
        for series in &self.chart.series {
            let (colour, thickness, opacity) = pen(series.look);
            let mut data = String::new();
            let places: Vec<(f64, f64)> =
                series.points.iter().map(|&(across, up)| (self.x(across), self.y(up))).collect();
            let mut pen_down = false;
            for (x, y) in &places {
                let is_inside = (self.left - 1.0..=self.right + 1.0).contains(x) && y.is_finite();
                if is_inside {
                    let command = if pen_down { 'L' } else { 'M' };
                    // Writing to a string cannot fail.
                    let _ = write!(data, "{command}{x:.2} {y:.2}");
                }
                pen_down = is_inside;
            }
            let mut path = Path::new();
            if let (Look::Filled, Some((first, _)), Some((last, _))) =
                (series.look, places.first(), places.last())
            {
                let _ = write!(data, "L{last:.2} {0}L{first:.2} {0}Z", self.bottom);
                path = path.set("fill", colour).set("fill-opacity", 0.3);
            }
            group = group.add(
                path.set("d", data)
                    .set("stroke", colour)
                    .set("stroke-width", thickness)
                    .set("stroke-opacity", opacity),
            );
        }
        group
    }

    fn flags(&self) -> Group {
        let mut group = Group::new();
        // A name that has no room beside others goes above them.
        let mut rows = [(self.top - 8.0, Vec::new()), (self.top - 22.0, Vec::new())];
        for flag in &self.chart.flags {
            let x = self.x(flag.at);
            if !(self.left..=self.right).contains(&x) {
                continue;
            }
            let half = width(&flag.name, LABEL_SIZE) / 2.0;
            group = group
                .add(dashed(line(x, self.top, x, self.bottom, MARK)).set("stroke-opacity", 0.55));
            let has_room = |taken: &[(f64, f64)]| {
                taken.iter().all(|(from, to)| x + half + 8.0 < *from || x - half - 8.0 > *to)
            };
            if let Some((y, taken)) = rows.iter_mut().find(|(_, taken)| has_room(taken)) {
                group = group.add(text(&flag.name, x, *y, "middle").set("fill", MARK));
                taken.push((x - half, x + half));
            }
        }
        group
    }

    fn head(&self, right: f64) -> Group {
        let mut group = Group::new();
        let mut end = right;
        for series in self.chart.series.iter().rev().filter(|series| !series.name.is_empty()) {
            let (colour, thickness, opacity) = pen(series.look);
            let thickness = if series.look == Look::Filled { 8.0 } else { thickness + 0.6 };
            let start = end - width(&series.name, LABEL_SIZE);
            let sample = line(start - 32.0, 25.5, start - 8.0, 25.5, colour)
                .set("stroke-width", thickness)
                .set("stroke-opacity", opacity);
            group = group.add(sample).add(text(&series.name, start, 30.0, "start"));
            end = start - 54.0;
        }
        let summary = fit(&self.chart.summary, LABEL_SIZE, right - 22.0);
        let room = right - 46.0 - width(&summary, LABEL_SIZE);
        let title = fit(&self.chart.title, TITLE_SIZE, end - 24.0);
        group
            .add(
                text(&title, 22.0, 30.0, "start")
                    .set("fill", INK)
                    .set("font-size", TITLE_SIZE)
                    .set("font-weight", 600),
            )
            .add(text(&fit(&self.chart.condition, LABEL_SIZE, room), 22.0, 52.0, "start"))
            .add(text(&summary, right, 52.0, "end"))
    }
}
