//! What must be found, by the rules; and what was.

use std::collections::VecDeque;
use std::fmt::Debug;

use crate::stream::{Placed, Stretch};

/// The level of edges and pulses, which runts do not reach; the level that runts pass; and how far
/// below them is armed again.
pub(crate) const LEVEL: i32 = 2048;
pub(crate) const LOW: i32 = 1000;
pub(crate) const HYSTERESIS: i32 = 40;
/// Pulses shorter than this are events.
pub(crate) const NARROW: u64 = 50;
/// So long without an edge is an event.
pub(crate) const WAIT: u64 = 30_000;
/// The samples of a record before the edge, and from it on.
pub(crate) const PRE: u64 = 64;
pub(crate) const POST: u64 = 192;

/// An event: its position and lead, and the width that it tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Seen {
    pub(crate) position: u64,
    pub(crate) lead: u32,
    pub(crate) time: u64,
}

/// What the engine counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Tally {
    pub(crate) edges: u64,
    pub(crate) records: u64,
    pub(crate) unrecorded: u64,
    pub(crate) abandoned: u64,
}

/// Two lists that must be the same, each known a little before or after the other.
#[derive(Debug)]
pub(crate) struct Twofold<T> {
    expected: VecDeque<T>,
    found: VecDeque<T>,
    count: u64,
}

impl<T> Default for Twofold<T> {
    fn default() -> Self {
        Self { expected: VecDeque::new(), found: VecDeque::new(), count: 0 }
    }
}

impl<T: Debug + PartialEq> Twofold<T> {
    pub(crate) fn found(&mut self, item: T) {
        self.found.push_back(item);
    }

    /// How many were the same.
    pub(crate) fn count(&self) -> u64 {
        self.count
    }

    fn check(&mut self, what: &str) -> Result<(), String> {
        while !self.expected.is_empty() && !self.found.is_empty() {
            let (expected, found) = (self.expected.pop_front(), self.found.pop_front());
            if expected != found {
                return Err(format!("{what}: generated {expected:?}, found {found:?}"));
            }
            self.count += 1;
        }
        Ok(())
    }

    fn finish(&self, what: &str) -> Result<(), String> {
        match (self.expected.front(), self.found.front()) {
            (None, None) => Ok(()),
            (expected, found) => {
                Err(format!("{what}: at the end generated {expected:?}, found {found:?}"))
            }
        }
    }
}

/// All lists.
#[derive(Debug, Default)]
pub(crate) struct Ledger {
    pub(crate) edges: Twofold<Seen>,
    pub(crate) narrow: Twofold<Seen>,
    pub(crate) runts: Twofold<Seen>,
    pub(crate) dropouts: Twofold<Seen>,
    /// By the position of their first sample.
    pub(crate) records: Twofold<u64>,
    /// Records with a sample that is another's.
    pub(crate) wrong_records: u64,
    pub(crate) tally: Tally,
    stretch: Option<Stretch>,
    /// The last edge of the stretch.
    last_edge: Option<u64>,
    /// Where the record under way ends.
    busy: u64,
}

impl Ledger {
    /// Begins a stretch: everything under way is forgotten.
    pub(crate) fn begin(&mut self, stretch: Stretch) {
        self.stretch = Some(stretch);
        (self.last_edge, self.busy) = (None, 0);
    }

    /// What a pulse must come to; `sample` gives the stream.
    pub(crate) fn expect(&mut self, pulse: Placed, sample: impl Fn(u64) -> u16) {
        let Some(stretch) = self.stretch else { return };
        // It is seen to begin if a sample before it is there.
        if pulse.at <= stretch.start {
            return;
        }
        let level = if pulse.is_runt { LOW } else { LEVEL };
        let lead = |position: u64, level: i32| {
            let [x, before] = [position, position - 1].map(|at| i64::from(sample(at)));
            // How far back the line between both passes the level.
            ((x - i64::from(level)) * 65536 / (x - before)) as u32
        };
        let begin = lead(pulse.at, level);
        if !pulse.is_runt {
            self.expect_edge(stretch, pulse.at, begin);
        }
        // And to end, if the first sample behind it is there.
        if pulse.end() < stretch.end {
            let end = lead(pulse.end(), level - HYSTERESIS);
            let time = pulse.width * 65536 + u64::from(begin) - u64::from(end);
            let seen = Seen { position: pulse.end(), lead: end, time };
            if pulse.is_runt {
                self.runts.expected.push_back(seen);
            } else if time < NARROW * 65536 {
                self.narrow.expected.push_back(seen);
            }
        }
    }

    fn expect_edge(&mut self, stretch: Stretch, at: u64, lead: u32) {
        self.silence(at);
        self.last_edge = Some(at);
        self.tally.edges += 1;
        self.edges.expected.push_back(Seen { position: at, lead, time: 0 });
        if at < stretch.start + PRE || at < self.busy {
            self.tally.unrecorded += 1;
            return;
        }
        self.busy = at + POST;
        if self.busy <= stretch.end {
            self.tally.records += 1;
            self.records.expected.push_back(at - PRE);
        } else if !stretch.is_last {
            self.tally.abandoned += 1;
        }
    }

    /// There was no edge from the last one until before `next`.
    fn silence(&mut self, next: u64) {
        if let Some(last) = self.last_edge.filter(|last| last + WAIT < next) {
            self.dropouts.expected.push_back(Seen { position: last + WAIT, lead: 0, time: 0 });
        }
    }

    /// Ends a stretch.
    pub(crate) fn end(&mut self) {
        if let Some(stretch) = self.stretch {
            self.silence(stretch.end);
        }
    }

    /// Compares what is there of both.
    pub(crate) fn check(&mut self) -> Result<(), String> {
        self.edges.check("edges")?;
        self.narrow.check("narrow pulses")?;
        self.runts.check("runts")?;
        self.dropouts.check("dropouts")?;
        self.records.check("records")?;
        match self.wrong_records {
            0 => Ok(()),
            n => Err(format!("{n} records are not of the stream's samples")),
        }
    }

    /// Nothing may be left.
    pub(crate) fn finish(&mut self) -> Result<(), String> {
        self.check()?;
        self.edges.finish("edges")?;
        self.narrow.finish("narrow pulses")?;
        self.runts.finish("runts")?;
        self.dropouts.finish("dropouts")?;
        self.records.finish("records")
    }
}
