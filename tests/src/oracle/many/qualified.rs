//! Qualified: events at samples at which a channel is on one side of a level.

use super::Side;
use super::watch::{On, Seen, Sight, Watcher};
use crate::oracle::Number;

/// Events while a gate is open.
#[allow(missing_docs)]
pub struct Qualified<N> {
    pub of: On<N>,
    pub gate: Side<N>,
    pub high: bool,
}

impl<N: Number> Watcher<N> for Qualified<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        self.gate.frame(frame);
        let event = self.of.frame(position, frame).filter(|_| self.gate.high == Some(self.high));
        event.into_iter().map(|event| Sight::at(event, Seen::Single(event.what))).collect()
    }

    fn gap(&mut self) {
        self.of.gap();
        self.gate.gap();
    }
}
