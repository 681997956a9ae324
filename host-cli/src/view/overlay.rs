//! Records laid over each other.

use std::collections::VecDeque;

use super::grid::Grid;
use super::ticks::value_text;
use super::trace::{Trace, Window, reduce};
use super::{Mark, Meta};
use crate::quantity::counted;

/// How many records are kept as lines.
const RECENT: usize = 64;

/// Points beyond which lines would merge anyway, and only make a large file.
const MAX_LINE_POINTS: usize = 40_000;

/// All records of a run, on the same axes.
#[derive(Debug, Clone)]
pub struct Overlay {
    /// What is shown besides.
    pub meta: Meta,
    pub(super) window: Window,
    pub(super) grid: Grid,
    pub(super) recent: VecDeque<Trace>,
    pub(super) records: u64,
    /// The lowest and the highest value of all.
    range: Option<(f64, f64)>,
    /// Records that are not as they should be.
    pub(super) offending: Vec<Trace>,
    pub(super) offences: u64,
    /// Lines that records should keep to: time in samples from the trigger, and value.
    pub(super) bounds: Vec<Bound>,
}

/// A line that records should keep to one side of.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// Whether they should keep under it.
    pub is_upper: bool,
    /// Its corners: samples from the trigger, and value.
    pub corners: Vec<(f64, f64)>,
}

impl Overlay {
    /// An overlay without records.
    pub fn new(meta: Meta) -> Self {
        Self {
            window: Window::new(meta.before, meta.after),
            meta,
            grid: Grid::new(),
            recent: VecDeque::with_capacity(RECENT),
            records: 0,
            range: None,
            offending: Vec::new(),
            offences: 0,
            bounds: Vec::new(),
        }
    }

    /// Adds a record: its values in the unit of the picture, and where its trigger instant is, in
    /// samples from the first value
    /// ([`OwnedRecord::trigger_offset`](crate::export::OwnedRecord::trigger_offset)).
    ///
    /// Values that are not finite are left out.
    pub fn add(&mut self, values: impl IntoIterator<Item = f64>, trigger_offset: f64) {
        self.add_finer(values, 1, trigger_offset);
    }

    /// As [`add`](Self::add), with `per_sample` values for each sample.
    pub fn add_finer(
        &mut self,
        values: impl IntoIterator<Item = f64>,
        per_sample: usize,
        trigger_offset: f64,
    ) {
        let (trace, extents) = reduce(values, per_sample, trigger_offset, self.window);
        for (_, low, high) in extents.iter() {
            let (lowest, highest) = self.range.unwrap_or((low, high));
            self.range = Some((lowest.min(low), highest.max(high)));
        }
        self.grid.add(&extents);
        if self.recent.len() == RECENT {
            self.recent.pop_front();
        }
        self.recent.push_back(trace);
        self.records += 1;
    }

    /// Marks the record added last as one that is not as it should be. The first of them are shown
    /// as lines of their own.
    pub fn mark_offending(&mut self) {
        self.offences += 1;
        if self.offending.len() < RECENT {
            self.offending.extend(self.recent.back().cloned());
        }
    }

    /// Adds a line that records should keep to one side of.
    pub fn add_bound(&mut self, bound: Bound) {
        self.bounds.push(bound);
    }

    /// How many records were added.
    pub fn records(&self) -> u64 {
        self.records
    }

    /// What was found, in words.
    pub(super) fn found(&self) -> String {
        let tally = self.meta.tally;
        let records = self.meta.mean_of.unwrap_or(self.records);
        let mut parts = vec![counted(records, "record")];
        if tally.events > 0 {
            parts.push(counted(tally.events, "event"));
        }
        if tally.held_off > 0 {
            parts.push(format!("{} held off", tally.held_off));
        }
        if self.offences > 0 {
            parts.push(format!("{} not as expected", self.offences));
        }
        if tally.forced > 0 {
            parts.push(format!("{} forced", tally.forced));
        }
        parts.join(" · ")
    }

    /// The name and the value of a mark.
    pub(super) fn mark_text(&self, mark: &Mark) -> String {
        format!("{} {}", mark.name, value_text(mark.value, self.meta.unit))
    }

    /// The values a picture shows: those of the records and the marks, and some room.
    pub(super) fn values(&self) -> (f64, f64) {
        let marks = self.meta.marks.iter().map(|mark| mark.value).filter(|value| value.is_finite());
        let records = self.range.into_iter().flat_map(|(low, high)| [low, high]);
        let corners = self.bounds.iter().flat_map(|bound| &bound.corners);
        let corners = corners.map(|(_, value)| *value).filter(|value| value.is_finite());
        let (low, high) = marks
            .chain(records)
            .chain(corners)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        if low > high {
            return (0.0, 1.0);
        }
        let room = match high - low {
            span if span > 0.0 => span * 0.06,
            // A flat line has no span of its own.
            _ if low == 0.0 => 1.0,
            _ => low.abs() * 0.1,
        };
        (low - room, high + room)
    }

    /// The records as lines, where those are all and not too many.
    pub(super) fn lines(&self) -> Option<&VecDeque<Trace>> {
        let points: usize = self.recent.iter().map(|trace| trace.points.len()).sum();
        (self.records <= RECENT as u64 && points <= MAX_LINE_POINTS).then_some(&self.recent)
    }
}
