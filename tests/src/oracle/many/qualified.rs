//! Qualified: events at samples at which a channel is on one side of a level.

use super::Side;
use super::watch::{Sight, Watcher};
use crate::oracle::Number;

/// Events while a gate is open.
#[allow(missing_docs)]
pub struct Qualified<N> {
    pub of: Box<dyn Watcher<N>>,
    pub gate: Side<N>,
    pub high: bool,
}

impl<N: Number> Watcher<N> for Qualified<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        self.gate.frame(frame);
        let events = self.of.frame(position, frame);
        if self.gate.high == Some(self.high) { events } else { Vec::new() }
    }

    fn gap(&mut self) {
        self.of.gap();
        self.gate.gap();
    }
}
