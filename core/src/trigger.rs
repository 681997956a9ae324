//! Trigger: a condition followed by a holdoff.

use crate::holdoff::HoldoffState;
use crate::{Block, Condition, ConfigError, Event, Holdoff};

/// Finds the events of a condition and passes on those that the holdoff accepts.
///
/// ```
/// use stillwave::{Edge, Holdoff, Level, Slope, Trigger};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(128, 8)?)?;
/// let mut trigger = Trigger::new(edge, Holdoff::Samples(4))?;
/// let mut found = Vec::new();
/// for buffer in [[0, 200, 0, 200], [0, 200, 0, 200]] {
///     trigger.push(&buffer, |event| found.push(event.at.position));
/// }
/// assert_eq!((found, trigger.held_off()), (vec![1, 5], 2));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Trigger<C> {
    condition: C,
    holdoff: Holdoff,
    state: HoldoffState,
    /// The position of the next sample.
    position: u64,
    events: u64,
    held_off: u64,
}

impl<C: Condition> Trigger<C> {
    /// Makes a trigger from a condition and a holdoff.
    ///
    /// # Errors
    /// The errors of [`Holdoff::validated`].
    pub fn new(condition: C, holdoff: Holdoff) -> Result<Self, ConfigError> {
        Ok(Self {
            condition,
            holdoff: holdoff.validated()?,
            state: HoldoffState::default(),
            position: 0,
            events: 0,
            held_off: 0,
        })
    }

    /// The position of the next sample that will be pushed.
    pub fn position(&self) -> u64 {
        self.position
    }

    /// The number of events the condition has had, accepted or not.
    pub fn events(&self) -> u64 {
        self.events
    }

    /// The number of events that the holdoff refused.
    pub fn held_off(&self) -> u64 {
        self.held_off
    }

    /// The condition, read-only.
    pub fn condition(&self) -> &C {
        &self.condition
    }

    /// Replaces the condition from the next sample on; the holdoff and the counts continue.
    pub fn set_condition(&mut self, condition: C) {
        self.condition = condition;
    }

    /// Replaces the holdoff from the next event on and restarts it, as if no event had been
    /// accepted yet.
    ///
    /// # Errors
    /// The errors of [`Holdoff::validated`]; the old holdoff stays.
    pub fn set_holdoff(&mut self, holdoff: Holdoff) -> Result<(), ConfigError> {
        self.holdoff = holdoff.validated()?;
        self.state = HoldoffState::default();
        Ok(())
    }

    /// Takes the next samples of channel 0 and calls `on_event` for every accepted event, in order.
    #[inline]
    pub fn push(&mut self, samples: &[C::Sample], on_event: impl FnMut(Event)) {
        self.push_channels(&[samples], on_event);
    }

    /// Does the same as [`push`](Self::push) for several channels: one slice each, all of the same
    /// length.
    ///
    /// If lengths differ, samples beyond the end of the shortest slice are ignored.
    #[inline]
    pub fn push_channels(&mut self, channels: &[&[C::Sample]], on_event: impl FnMut(Event)) {
        let block = Block::new(self.position, channels);
        // Counted in locals, which a loop can keep in registers; and apart from the rest where
        // nothing is held off, so that such a loop holds nothing else.
        let (mut events, mut held_off) = (0_usize, 0_usize);
        if self.holdoff == Holdoff::None {
            let count = |_| {
                events += 1;
                true
            };
            self.condition.for_each(&block, count, on_event);
        } else {
            let mut gate = self.state.gate(self.holdoff, block.start());
            let accept = |position| {
                events += 1;
                let accepted = gate.accepts(position);
                if !accepted {
                    held_off += 1;
                }
                accepted
            };
            self.condition.for_each(&block, accept, on_event);
            self.state = gate.leave();
        }
        self.events += events as u64;
        self.held_off += held_off as u64;
        self.position = self.position.max(block.end());
    }

    /// Takes the next samples of channel 0 and returns the number of accepted events.
    #[inline]
    pub fn count(&mut self, samples: &[C::Sample]) -> u64 {
        let before = self.accepted();
        if self.holdoff == Holdoff::None {
            let block = [samples];
            let block = Block::new(self.position, &block);
            self.events += self.condition.count(&block);
            self.position = self.position.max(block.end());
        } else {
            self.push(samples, |_| ());
        }
        self.accepted() - before
    }

    fn accepted(&self) -> u64 {
        self.events - self.held_off
    }

    /// Returns the next accepted event in `block`, or `None` when it holds no more.
    ///
    /// It is for callers that count positions themselves. Samples missing between the last block
    /// and this one are treated as a gap.
    #[inline]
    pub fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        if let Some(lost) = block.start().checked_sub(self.position)
            && lost > 0
        {
            self.gap(lost);
        }
        while let Some(event) = self.condition.next(block) {
            self.events += 1;
            let mut gate = self.state.gate(self.holdoff, block.start());
            let accepted = gate.accepts(event.at.position);
            self.state = gate.leave();
            if accepted {
                return Some(event);
            }
            self.held_off += 1;
        }
        self.position = self.position.max(block.end());
        None
    }

    /// Reports `lost` samples before the next one: the condition disarms, and positions advance by
    /// `lost`. If the number is not known, pass 0.
    pub fn gap(&mut self, lost: u64) {
        self.condition.gap();
        self.position = self.position.saturating_add(lost);
    }

    /// Forgets the stream: the trigger is as new.
    pub fn reset(&mut self) {
        self.condition.reset();
        self.state = HoldoffState::default();
        (self.position, self.events, self.held_off) = (0, 0, 0);
    }
}
