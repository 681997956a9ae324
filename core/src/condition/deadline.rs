//! A time-out: how a condition fires while the signal stays quiet.

use crate::{Instant, Span};

/// Runs out at a position of its own, unless what it waits for comes at or before that.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Deadline(Option<(Instant, u64)>);

impl Deadline {
    /// Starts to wait for `samples` samples from the position of `since` on. One beyond all
    /// positions never runs out.
    #[inline]
    pub(super) fn set(&mut self, since: Instant, samples: u64) {
        self.0 = since.position.checked_add(samples).map(|due| (since, due));
    }

    /// Waits no more.
    #[inline]
    pub(super) fn clear(&mut self) {
        self.0 = None;
    }

    /// The sample at which it ran out and the time since it was set, once: where the stream is
    /// known up to before `end`, and what comes next in it (`next`, if anything) comes later.
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
