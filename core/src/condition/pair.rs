//! Two conditions side by side, with their events in one order.

use super::Lookahead;
use crate::{Block, Condition, Event, Instant};

/// Two conditions on one stream.
#[derive(Clone, Debug)]
pub(super) struct Pair<A, B> {
    first: A,
    second: B,
    next_first: Lookahead<Event>,
    next_second: Lookahead<Event>,
}

/// An event of one of the two conditions.
#[derive(Clone, Copy, Debug)]
pub(super) enum Of {
    First(Event),
    Second(Event),
}

/// Compares by position; at the same position, the first condition comes first.
#[inline]
pub(super) fn by_position(first: Instant, second: Instant) -> bool {
    first.position <= second.position
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Pair<A, B> {
    pub(super) fn new(first: A, second: B) -> Self {
        let (next_first, next_second) = Default::default();
        Self { first, second, next_first, next_second }
    }

    /// The next event of either condition in `block`. `first_goes_first` decides if both have one.
    #[inline]
    pub(super) fn next(
        &mut self,
        block: &Block<'_, A::Sample>,
        first_goes_first: impl FnOnce(Instant, Instant) -> bool,
    ) -> Option<Of> {
        let Self { first, second, next_first, next_second } = self;
        let a = next_first.peek(|| first.next(block));
        let b = next_second.peek(|| second.next(block));
        let first_goes = match (a, b) {
            (Some(a), Some(b)) => first_goes_first(a.at, b.at),
            (a, _) => a.is_some(),
        };
        if first_goes {
            next_first.take().map(Of::First)
        } else {
            next_second.take().map(Of::Second)
        }
    }

    pub(super) fn gap(&mut self) {
        self.forget();
        self.first.gap();
        self.second.gap();
    }

    pub(super) fn reset(&mut self) {
        self.forget();
        self.first.reset();
        self.second.reset();
    }

    fn forget(&mut self) {
        (self.next_first, self.next_second) = Default::default();
    }
}
