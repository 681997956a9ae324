//! A line with its spikes removed.

use super::sides::{Sides, Turn};
use crate::{Block, ConfigError, Instant, Level, Sample, Span};

/// The turns of a line that are not undone within a time. Each is reported when that time is over,
/// at the first sample at or after it. Without a time, it reports all turns, where they are.
#[derive(Clone, Debug)]
pub(super) struct Steady<T: Sample> {
    sides: Sides<T>,
    longest_spike: Span,
    /// A turn that may still be undone.
    pending: Option<Turn>,
}

impl<T: Sample> Steady<T> {
    /// # Errors
    /// The errors of [`Level::new`].
    pub(super) fn new(level: Level<T>) -> Result<Self, ConfigError> {
        Ok(Self { sides: Sides::new(level)?, longest_spike: Span::ZERO, pending: None })
    }

    /// Ignores spikes of up to that length.
    pub(super) fn pass_over(&mut self, longest_spike: Span) {
        self.longest_spike = longest_spike;
    }

    /// The next turn in `block`, or `None` if none is certain yet.
    #[inline]
    pub(super) fn peek(&mut self, block: &Block<'_, T>) -> Option<Turn> {
        if self.longest_spike == Span::ZERO {
            return self.sides.peek(block);
        }
        loop {
            let next = self.sides.peek(block);
            let Some(pending) = self.pending else {
                self.pending = Some(next?);
                self.sides.take();
                continue;
            };
            if pending.first {
                return Some(pending);
            }
            match next {
                Some(back) if back.at.since(pending.at) <= self.longest_spike => {
                    self.sides.take();
                    self.pending = None;
                }
                _ => {
                    let certain = pending.at.after(self.longest_spike);
                    let told = Turn { at: Instant::at(certain), ..pending };
                    return (certain < block.end()).then_some(told);
                }
            }
        }
    }

    /// Discards the turn that was peeked at.
    #[inline]
    pub(super) fn take(&mut self) {
        if self.longest_spike == Span::ZERO {
            self.sides.take();
        }
        self.pending = None;
    }

    pub(super) fn gap(&mut self) {
        self.sides.gap();
        self.pending = None;
    }

    pub(super) fn reset(&mut self) {
        self.sides.reset();
        self.pending = None;
    }
}
