//! Intervals: the time from an edge to the next of the same slope.

use super::{Detector, Edge, Found, Number, What, Width};

/// Intervals of one slope.
#[derive(Clone, Debug)]
pub struct Interval<N> {
    edge: Edge<N>,
    rising: bool,
    time: Width,
    /// The last edge, in 1/65536 of a sample.
    last: Option<i128>,
}

impl<N: Number> Interval<N> {
    /// A detector at the start of a stream.
    pub fn new(rising: bool, level: N, hysteresis: N, time: Width) -> Self {
        Self { edge: Edge::new(rising, level, hysteresis), rising, time, last: None }
    }
}

impl<N: Number> Detector<N> for Interval<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let edge = self.edge.sample(position, x)?;
        let time = (edge.parts() - self.last.replace(edge.parts())?) as u64;
        let what = What::Interval { rising: self.rising, time };
        self.time.counts(time).then_some(Found { what, ..edge })
    }

    fn gap(&mut self) {
        self.edge.gap();
        self.last = None;
    }
}
