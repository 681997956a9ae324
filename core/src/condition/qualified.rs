//! Qualified: only events that come while another channel is high, or low.
//!
//! ```text
//! events  ──•────•────•────•──
//! gate    _______╱▔▔▔▔▔▔▔╲____
//! high           ▲    ▲
//! ```

use super::sides::{Side, Sides};
use super::{AnyQualifiable, Configuration, Qualifiable, Relaxed, configuration};
use crate::{Block, Condition, ConfigError, Event, Level, Sample, Slope};

configuration! {
    /// Fires on an event that comes while another channel is high or low: [`Qualified`].
    pub struct QualifiedConfig<T: Sample> {
        /// The condition whose events count.
        pub of: Qualifiable<T>,
        /// The other channel and its level.
        pub gate: Level<T>,
        /// The side that channel must be on.
        pub side: Side,
    }
}

impl<T: Sample> Configuration<T> for QualifiedConfig<T> {
    type Condition = Qualified<AnyQualifiable<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Qualified::new(self.of.build()?, self.gate, self.side)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.of.levels(each);
        each(Slope::Rising, self.gate);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(self.of.relaxed().unwrap_or(Relaxed { setup: self.of.into(), time: None }))
    }
}

/// Passes on the events of a condition that come while another channel, the gate, is on one side of
/// a level.
///
/// The gate is high from the first sample x ≥ L on and low from the first sample x < L − h on. At
/// the start and after a gap it is neither, until the first such sample. What counts is the gate's
/// side at the event's own sample. The condition keeps running while the gate is shut, so an event
/// that takes some time, such as a pulse, may have begun before the gate opened.
///
/// The gate is a channel like any other: an external trigger input, or the channel of an
/// [`Edge`](crate::Edge). If it is one bit of a digital word, see [`Inputs`](crate::Inputs).
///
/// ```
/// use stillwave::{Block, Condition, Edge, Level, Qualified, Side, Slope};
/// let level = Level::<u8>::new(100, 0)?;
/// let edge = Edge::new(Slope::Rising, level)?;
/// let mut qualified = Qualified::new(edge, level.on_channel(1), Side::High)?;
/// let channels: [&[u8]; 2] = [&[0, 200, 0, 200, 0, 200], &[0, 0, 0, 255, 255, 0]];
/// let block = Block::new(0, &channels);
/// assert_eq!(qualified.next(&block).map(|event| event.at.position), Some(3));
/// assert_eq!(qualified.next(&block), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Qualified<C: Condition> {
    condition: C,
    gate: Sides<C::Sample>,
    wanted: Side,
    side: Option<Side>,
}

impl<C: Condition> Qualified<C> {
    /// Makes a condition from the events of `condition` while the channel of `gate` is on the side
    /// `while_on`.
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn new(condition: C, gate: Level<C::Sample>, while_on: Side) -> Result<Self, ConfigError> {
        Ok(Self { condition, gate: Sides::new(gate)?, wanted: while_on, side: None })
    }

    /// Follows the gate up to and including the sample at `position`.
    #[inline]
    fn follow(&mut self, block: &Block<'_, C::Sample>, position: u64) {
        while let Some(turn) = self.gate.peek(block)
            && turn.at.position <= position
        {
            self.side = Some(turn.into);
            self.gate.take();
        }
    }
}

impl<C: Condition> Condition for Qualified<C> {
    type Sample = C::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        while let Some(event) = self.condition.next(block) {
            self.follow(block, event.at.position);
            if self.side == Some(self.wanted) {
                return Some(event);
            }
        }
        self.follow(block, block.end());
        None
    }

    fn gap(&mut self) {
        self.condition.gap();
        self.gate.gap();
        self.side = None;
    }

    fn reset(&mut self) {
        self.condition.reset();
        self.gate.reset();
        self.side = None;
    }
}
