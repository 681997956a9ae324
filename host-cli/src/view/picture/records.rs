//! The records: as lines, or as how often each place was passed.

use std::fmt::Write as _;

use svg::node::element::{Group, Path};

use super::super::shapes::text;
use super::super::style::{LAST, SOFT_INK, TITLE_SIZE, TRACE};
use super::super::trace::{COLUMNS, Trace};
use super::sheet::Sheet;

/// Steps of opacity in which the number of records is shown.
const SHADES: usize = 8;
/// The opacity of a place that one record passed: to be seen, it is what one looks for.
const FAINTEST: f64 = 0.4;

impl Sheet<'_> {
    pub(super) fn records(&self) -> Group {
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
            Some(last) => {
                // Where lines run up and down in every column, thin ones leave the others visible.
                let width = if last.points.len() > 2 * COLUMNS { 0.8 } else { 1.6 };
                group.add(self.trace(last).set("stroke", LAST).set("stroke-width", width))
            }
            None => group.add(
                text(
                    "no record",
                    f64::midpoint(self.left, self.right),
                    f64::midpoint(self.top, self.bottom),
                    "middle",
                )
                .set("fill", SOFT_INK)
                .set("font-size", TITLE_SIZE),
            ),
        }
    }

    /// A line through a record, within the field.
    pub(super) fn trace(&self, trace: &Trace) -> Path {
        let mut data = String::new();
        let mut pen_down = false;
        for point in &trace.points {
            let (x, y) = (self.x(point.time), self.y(point.value));
            // A neighbour outside the field would be drawn over the frame.
            let is_inside = (self.left - 1.0..=self.right + 1.0).contains(&x);
            if !y.is_finite() || !is_inside {
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
            let opacity = FAINTEST + (0.9 - FAINTEST) * (shade - 1) as f64 / (SHADES - 1) as f64;
            group = group
                .add(Path::new().set("d", data).set("stroke-opacity", format!("{opacity:.2}")));
        }
        group
    }
}
