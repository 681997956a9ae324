//! A deadline: how a condition fires while the signal stays quiet.

use crate::{Instant, Span};

/// Expires at its own position, unless the awaited event comes at or before that position.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Deadline(Option<(Instant, u64)>);

impl Deadline {
    /// Starts waiting for `samples` samples from the position of `since` on. A deadline beyond all
    /// positions never expires.
    #[inline]
    pub(super) fn set(&mut self, since: Instant, samples: u64) {
        self.0 = since.position.checked_add(samples).map(|due| (since, due));
    }

    /// Stops waiting.
    #[inline]
    pub(super) fn clear(&mut self) {
        self.0 = None;
    }

    /// Returns the sample at which the deadline expired and the time since it was set, once. It
    /// does so if the stream is known up to that sample (which is before `end`) and the next event
    /// in it (`next`, if there is one) comes later.
    #[inline]
    pub(super) fn run_out(&mut self, next: Option<Instant>, end: u64) -> Option<(Instant, Span)> {
        let (since, due) = self.0?;
        if next.map_or(end, |next| next.position) <= due {
            return None;
        }
        self.0 = None;
        let at = Instant::at(due);
        Some((at, at.since(since)))
    }
}
