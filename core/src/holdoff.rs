//! Holdoff: which events are refused after an accepted one.

use crate::ConfigError;

/// Which events a trigger accepts. Conditions keep running meanwhile; only their events are
/// refused.
///
/// `Samples(0)` holds nothing off. In `Every(n)`, n must be 1 or more.
///
/// ```
/// use stillwave::{Edge, Holdoff, Level, Slope, Trigger};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 10)?)?;
/// let samples = [0, 200].repeat(6);
/// for (holdoff, accepted) in [(Holdoff::None, 6), (Holdoff::Samples(4), 3), (Holdoff::Every(3), 2)] {
///     assert_eq!(Trigger::new(edge.clone(), holdoff)?.count(&samples), accepted);
/// }
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Holdoff {
    /// Accept every event.
    #[default]
    None,
    /// Accept an event at least this many samples after the last accepted one.
    Samples(u64),
    /// Accept every n-th event: the n-th, the 2n-th and so on; n from 1.
    Every(u32),
}

impl Holdoff {
    /// Returns the holdoff unchanged if its value is in range.
    ///
    /// # Errors
    /// `Every(0)`.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self {
            Self::Every(0) => Err(ConfigError::new("every", 0.0, "1 or more")),
            _ => Ok(self),
        }
    }
}

/// What a holdoff remembers from one block to the next.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct HoldoffState {
    /// The first position at which an event is accepted.
    ready: u64,
    /// Events since the last accepted one.
    count: u32,
}

impl HoldoffState {
    /// The gate for the events of a block at `start`.
    #[inline]
    pub(crate) fn gate(self, holdoff: Holdoff, start: u64) -> Gate {
        let too_early = usize::try_from(self.ready.saturating_sub(start)).unwrap_or(usize::MAX);
        let (hold, every) = match holdoff {
            Holdoff::None => (0, 1),
            Holdoff::Samples(samples) => (samples, 1),
            Holdoff::Every(n) => (0, n),
        };
        Gate { state: self, start, hold, every, too_early, last: None }
    }
}

/// A holdoff within one block. It counts offsets in the block, which is cheaper than whole
/// positions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gate {
    state: HoldoffState,
    start: u64,
    /// The number of samples, from an accepted event on, in which no other event is accepted.
    hold: u64,
    /// Of the events after that, the n-th is accepted; this is n.
    every: u32,
    /// The number of samples at the start of the block in which no event is accepted.
    too_early: usize,
    /// The offset of the last accepted event in this block.
    last: Option<usize>,
}

impl Gate {
    /// Whether the event at `position` is accepted.
    #[inline]
    pub(crate) fn accepts(&mut self, position: u64) -> bool {
        let offset = position.wrapping_sub(self.start) as usize;
        if offset < self.too_early {
            return false;
        }
        self.state.count += 1;
        if self.state.count < self.every {
            return false;
        }
        self.state.count = 0;
        // One of before the block, against the rule for conditions, counts as now.
        let offset = if position < self.start { 0 } else { offset };
        self.too_early = offset.saturating_add(usize::try_from(self.hold).unwrap_or(usize::MAX));
        self.last = Some(offset);
        true
    }

    /// The state to keep after the block.
    #[inline]
    pub(crate) fn leave(self) -> HoldoffState {
        let ready = match self.last {
            Some(last) => self.start.saturating_add(last as u64).saturating_add(self.hold),
            None => self.state.ready,
        };
        HoldoffState { ready, ..self.state }
    }
}

#[cfg(test)]
mod tests {
    use super::{Holdoff, HoldoffState};
    use proptest::prelude::*;
    use std::vec::Vec;

    /// The rule as it is written, on whole positions.
    fn accepted(holdoff: Holdoff, positions: &[u64]) -> Vec<bool> {
        let (mut last, mut count) = (None::<u64>, 0);
        let accepts = |&position: &u64| {
            let accepted = match holdoff {
                Holdoff::None => true,
                Holdoff::Samples(samples) => last.is_none_or(|last| position - last >= samples),
                Holdoff::Every(n) => {
                    count += 1;
                    count % n == 0
                }
            };
            if accepted {
                last = Some(position);
            }
            accepted
        };
        positions.iter().map(accepts).collect()
    }

    fn holdoffs() -> impl Strategy<Value = Holdoff> {
        prop_oneof![
            Just(Holdoff::None),
            (0..200_u64).prop_map(Holdoff::Samples),
            prop_oneof![Just(u64::MAX), Just(1 << 32)].prop_map(Holdoff::Samples),
            (1..5_u32).prop_map(Holdoff::Every),
        ]
    }

    proptest! {
        #[test]
        fn blocks_make_no_difference(
            holdoff in holdoffs(),
            first in prop_oneof![Just(0), Just((1_u64 << 32) - 500), Just(1 << 60)],
            steps in prop::collection::vec(0..80_u64, 0..60),
            block in 1..300_u64,
        ) {
            let positions: Vec<u64> = steps
                .iter()
                .scan(first, |at, step| {
                    *at += step;
                    Some(*at)
                })
                .collect();
            let mut state = HoldoffState::default();
            let mut found = Vec::new();
            let start = |position| first + (position - first) / block * block;
            for in_block in positions.chunk_by(|&a, &b| start(a) == start(b)) {
                let mut gate = state.gate(holdoff, start(in_block[0]));
                found.extend(in_block.iter().map(|&position| gate.accepts(position)));
                state = gate.leave();
            }
            prop_assert_eq!(found, accepted(holdoff, &positions));
        }
    }

    #[test]
    fn an_event_of_before_the_block_counts_as_now() {
        let mut gate = HoldoffState::default().gate(Holdoff::Samples(10), 1000);
        assert!(gate.accepts(900));
        assert!(!gate.accepts(1009));
        assert!(gate.accepts(1010));
        assert!(!gate.leave().gate(Holdoff::Samples(10), 1015).accepts(1019));
    }
}
