//! Dropouts: no edge for a time since the last; one that comes at that very time comes in time.

use super::{Detector, Found, What};

/// Dropouts of any edges.
#[derive(Clone, Debug)]
pub struct Dropout<D> {
    edges: D,
    after: u64,
    last: Option<Found>,
}

impl<D> Dropout<D> {
    /// A detector at the start of a stream.
    pub fn new(edges: D, after: u64) -> Self {
        Self { edges, after, last: None }
    }
}

impl<N, D: Detector<N>> Detector<N> for Dropout<D> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        if let Some(edge) = self.edges.sample(position, x) {
            self.last = Some(edge);
            return None;
        }
        let last = self.last?;
        if position - last.position < self.after {
            return None;
        }
        self.last = None;
        let time = (i128::from(position) * 65536 - last.parts()) as u64;
        Some(Found { position, lead: 0, what: What::Dropout { time } })
    }

    fn gap(&mut self) {
        self.edges.gap();
        self.last = None;
    }
}
