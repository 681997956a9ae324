//! Several lines, followed together.

use super::sides::{Side, Turn};
use super::steady::Steady;
use crate::{Block, ConfigError, Level, Sample, Span};

/// `N` channels, each high or low.
#[derive(Clone, Debug)]
pub(super) struct Lines<T: Sample, const N: usize> {
    sides: [Steady<T>; N],
    now: [Option<Side>; N],
}

impl<T: Sample> Lines<T, 2> {
    /// # Errors
    /// The errors of [`Level::new`].
    pub(super) fn two([a, b]: [Level<T>; 2]) -> Result<Self, ConfigError> {
        Ok(Self { sides: [Steady::new(a)?, Steady::new(b)?], now: [None; 2] })
    }
}

impl<T: Sample> Lines<T, 3> {
    /// # Errors
    /// The errors of [`Level::new`].
    pub(super) fn three([a, b, c]: [Level<T>; 3]) -> Result<Self, ConfigError> {
        Ok(Self { sides: [Steady::new(a)?, Steady::new(b)?, Steady::new(c)?], now: [None; 3] })
    }
}

impl<T: Sample, const N: usize> Lines<T, N> {
    /// Ignores spikes of up to that length on every line; everything else is reported later by that
    /// time.
    pub(super) fn pass_over(&mut self, longest_spike: Span) {
        self.sides.iter_mut().for_each(|sides| sides.pass_over(longest_spike));
    }

    /// What each line does at the next sample in `block` at which any line changes.
    #[inline]
    pub(super) fn next(&mut self, block: &Block<'_, T>) -> Option<[Option<Turn>; N]> {
        let turns = self.sides.iter_mut().filter_map(|sides| sides.peek(block));
        let position = turns.map(|turn| turn.at.position).min()?;
        let mut step = [None; N];
        for ((sides, now), turn) in self.sides.iter_mut().zip(&mut self.now).zip(&mut step) {
            *turn = sides.peek(block).filter(|turn| turn.at.position == position);
            if let Some(turn) = turn {
                *now = Some(turn.into);
                sides.take();
            }
        }
        Some(step)
    }

    /// Which side each line is on, if that is known.
    #[inline]
    pub(super) fn now(&self) -> [Option<Side>; N] {
        self.now
    }

    pub(super) fn gap(&mut self) {
        self.sides.iter_mut().for_each(Steady::gap);
        self.now = [None; N];
    }

    pub(super) fn reset(&mut self) {
        self.sides.iter_mut().for_each(Steady::reset);
        self.now = [None; N];
    }
}

/// The change of a line to a side; `None` when the side has just become known for the first time.
#[inline]
pub(super) fn change(turn: Option<Turn>) -> Option<Turn> {
    turn.filter(|turn| !turn.first)
}
