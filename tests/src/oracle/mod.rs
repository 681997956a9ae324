//! The rules, said plainly: one sample after the other, in arithmetic that cannot overflow.
//!
//! Nothing here comes from the engine; what the two agree on was written twice.

mod edge;
mod holdoff;
mod monitor;
mod number;
mod pulse;
mod recorder;

pub use edge::{Edge, Either};
pub use holdoff::{Hold, Holdoff};
pub use monitor::{clipped, non_finite};
pub use number::Number;
pub use pulse::{Pulse, Width};
pub use recorder::{Kept, Pace, Recorder, Tally};

/// An event: the first sample at or past the level, how far before it the crossing lies in
/// 1/65536 of a sample, and what it was.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Found {
    pub position: u64,
    pub lead: u32,
    pub what: What,
}

/// What the signal did; a pulse has its width in 1/65536 of a sample.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum What {
    Rise,
    Fall,
    Positive(u64),
    Negative(u64),
}

/// Takes a stream sample by sample and finds events.
pub trait Detector<N> {
    /// The event at this sample.
    fn sample(&mut self, position: u64, x: N) -> Option<Found>;
    /// Samples were lost here.
    fn gap(&mut self);
}
