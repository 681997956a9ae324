//! Several lines, followed together.

use crate::condition::sides::{Side, Sides, Turn};
use crate::{Block, ConfigError, Level, Sample};

/// `N` channels, each high or low.
#[derive(Clone, Debug)]
pub(super) struct Lines<T: Sample, const N: usize> {
    sides: [Sides<T>; N],
    now: [Option<Side>; N],
}

impl<T: Sample> Lines<T, 2> {
    /// # Errors
    /// As [`Level::new`].
    pub(super) fn two([a, b]: [Level<T>; 2]) -> Result<Self, ConfigError> {
        Ok(Self { sides: [Sides::new(a)?, Sides::new(b)?], now: [None; 2] })
    }
}

impl<T: Sample> Lines<T, 3> {
    /// # Errors
    /// As [`Level::new`].
    pub(super) fn three([a, b, c]: [Level<T>; 3]) -> Result<Self, ConfigError> {
        Ok(Self { sides: [Sides::new(a)?, Sides::new(b)?, Sides::new(c)?], now: [None; 3] })
    }
}

impl<T: Sample, const N: usize> Lines<T, N> {
    /// What each line does at the next sample in `block` at which any does something.
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
        self.sides.iter_mut().for_each(Sides::gap);
        self.now = [None; N];
    }

    pub(super) fn reset(&mut self) {
        self.sides.iter_mut().for_each(Sides::reset);
        self.now = [None; N];
    }
}

/// Where a line has changed into a side; not where it is first known.
#[inline]
pub(super) fn change(turn: Option<Turn>) -> Option<Turn> {
    turn.filter(|turn| !turn.first)
}
