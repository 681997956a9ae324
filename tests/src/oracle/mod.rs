//! The rules, said plainly: one sample after the other, in arithmetic that cannot overflow.
//!
//! Nothing here comes from the engine; what the two agree on was written twice.

pub mod couple;
pub mod decimate;
mod dropout;
mod edge;
mod holdoff;
mod interval;
pub mod many;
mod monitor;
mod number;
mod pulse;
mod recorder;
mod runt;
pub mod serial;
mod transition;
mod window;

pub use dropout::Dropout;
pub use edge::{Edge, Either};
pub use holdoff::{Hold, Holdoff};
pub use interval::Interval;
pub use monitor::{clipped, non_finite};
pub use number::Number;
pub use pulse::{Pulse, Width};
pub use recorder::{Kept, Pace, Recorder, Tally};
pub use runt::Runt;
pub use transition::Transition;
pub use window::{When, Window};

/// An event: the first sample at or past the level, how far before it the crossing lies in
/// 1/65536 of a sample, and what it was.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Found {
    pub position: u64,
    pub lead: u32,
    pub what: What,
}

impl Found {
    /// The crossing in 1/65536 of a sample since the start of the stream.
    pub fn parts(&self) -> i128 {
        i128::from(self.position) * 65536 - i128::from(self.lead)
    }
}

/// What the signal did; widths and times are in 1/65536 of a sample.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum What {
    Rise,
    Fall,
    Positive(u64),
    Negative(u64),
    Interval { rising: bool, time: u64 },
    Dropout { time: u64 },
    Transition { rising: bool, time: u64 },
    Runt { positive: bool, width: u64 },
    Went { inside: bool },
    Stayed { inside: bool, time: u64 },
}

/// Takes a stream sample by sample and finds events.
pub trait Detector<N> {
    /// The event at this sample.
    fn sample(&mut self, position: u64, x: N) -> Option<Found>;
    /// Samples were lost here.
    fn gap(&mut self);
}
