//! Both: fires on the events of either of two conditions.
//!
//! ```text
//! first   ──•─────────•────     fires with either, in order of position;
//! second  ─────•──────•────     where they meet, the first comes first
//! ```

use super::{Of, Pair, by_position};
use crate::{Block, Condition, Event};

/// Fires on every event of either of two conditions, in order of position. At the same position,
/// the event of the first condition comes first.
///
/// ```
/// use stillwave::{Block, Both, Comparison, Condition, Level, Polarity, Pulse, Span};
/// let level = Level::<u8>::new(100, 10)?;
/// let glitch = |polarity| Pulse::new(polarity, level, Comparison::ShorterThan(Span::samples(2)));
/// let mut glitches = Both::new(glitch(Polarity::Positive)?, glitch(Polarity::Negative)?);
/// let samples = [0, 200, 0, 0, 0, 200, 200, 200, 0, 200, 200];
/// let channels = [&samples[..]];
/// let block = Block::new(0, &channels);
/// let found: Vec<u64> =
///     core::iter::from_fn(|| glitches.next(&block)).map(|e| e.at.position).collect();
/// assert_eq!(found, [2, 9]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Both<A, B = A> {
    pair: Pair<A, B>,
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Both<A, B> {
    /// Makes a condition from two conditions on the same stream.
    pub fn new(first: A, second: B) -> Self {
        Self { pair: Pair::new(first, second) }
    }
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Condition for Both<A, B> {
    type Sample = A::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, A::Sample>) -> Option<Event> {
        self.pair.next(block, by_position).map(|(Of::First(event) | Of::Second(event))| event)
    }

    fn gap(&mut self) {
        self.pair.gap();
    }

    fn reset(&mut self) {
        self.pair.reset();
    }
}
