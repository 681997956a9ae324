//! What is seen on several channels at once.

use crate::oracle::serial::Said;
use crate::oracle::{Detector, Found, What};

/// An event on several channels.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Sight {
    pub position: u64,
    pub lead: u32,
    pub what: Seen,
}

/// What was seen; times are in 1/65536 of a sample.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Seen {
    Single(What),
    Delay(u64),
    Count(u32),
    Sequence(u64),
    Entered,
    Left,
    Stayed(u64),
    Setup(u64),
    Hold(u64),
    Said(Said),
}

impl Sight {
    /// What was seen where something was found.
    pub fn at(found: Found, what: Seen) -> Self {
        Self { position: found.position, lead: found.lead, what }
    }
}

/// Takes a stream frame by frame, one sample of each channel, and tells of events.
pub trait Watcher<N> {
    /// The events at this frame, in order.
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight>;
    /// Frames were lost here.
    fn gap(&mut self);
}

/// A detector on one channel of several.
pub struct On<N> {
    /// The detector.
    pub detector: Box<dyn Detector<N>>,
    /// The channel.
    pub channel: usize,
}

impl<N: Copy> On<N> {
    pub(super) fn frame(&mut self, position: u64, frame: &[N]) -> Option<Found> {
        self.detector.sample(position, frame[self.channel])
    }

    pub(super) fn gap(&mut self) {
        self.detector.gap();
    }
}

impl<N: Copy> Watcher<N> for On<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let event = On::frame(self, position, frame);
        event.into_iter().map(|event| Sight::at(event, Seen::Single(event.what))).collect()
    }

    fn gap(&mut self) {
        On::gap(self);
    }
}

/// The time from one event to another in 1/65536 of a sample.
pub(super) fn time(from: Found, to: Found) -> u64 {
    let parts = |found: Found| i128::from(found.position) * 65536 - i128::from(found.lead);
    u64::try_from(parts(to) - parts(from)).expect("in order")
}
