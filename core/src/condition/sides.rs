//! The side of a level that a channel is on, from the point where it is known.

use super::Lookahead;
use crate::{Block, Comparator, ConfigError, Crossing, Instant, Level, Sample, Slope};

/// A side of a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Side {
    /// The side from the first sample x ≥ L on.
    High,
    /// The side from the first sample x < L − h on.
    Low,
}

impl From<Slope> for Side {
    /// The side that a slope leads into.
    fn from(slope: Slope) -> Self {
        match slope {
            Slope::Rising => Self::High,
            Slope::Falling => Self::Low,
        }
    }
}

/// A change of side: a channel is on another side from here on, or its side is known for the first
/// time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    pub(super) into: Side,
    pub(super) at: Instant,
    /// Whether the side was unknown before: since the start, or since a gap.
    pub(super) first: bool,
}

/// Reports every side that a channel is on: the crossings of a rising comparator, and before them
/// the point where the side is first known.
#[derive(Clone, Debug)]
pub(super) struct Sides<T: Sample> {
    comparator: Comparator<T>,
    /// Whether the first side has been reported.
    told: bool,
    /// A crossing found while looking for the first side.
    held: Option<Crossing>,
    ahead: Lookahead<Turn>,
}

impl<T: Sample> Sides<T> {
    /// # Errors
    /// The errors of [`Level::new`].
    pub(super) fn new(level: Level<T>) -> Result<Self, ConfigError> {
        Ok(Self {
            comparator: Comparator::new(Slope::Rising, level)?,
            told: false,
            held: None,
            ahead: Lookahead::default(),
        })
    }

    /// The next turn in `block`, or `None` when it holds no more.
    #[inline]
    pub(super) fn peek(&mut self, block: &Block<'_, T>) -> Option<Turn> {
        let Self { comparator, told, held, ahead } = self;
        ahead.peek(|| {
            let crossing = held.take().or_else(|| comparator.next(block));
            if !*told && let Some((position, side)) = comparator.settled() {
                *told = true;
                // With a crossing found already, the comparator is beyond it.
                let slope = crossing.map_or(side, |crossing| crossing.slope.opposite());
                *held = crossing;
                return Some(Turn { into: slope.into(), at: Instant::at(position), first: true });
            }
            crossing.map(|Crossing { slope, at }| Turn { into: slope.into(), at, first: false })
        })
    }

    /// Takes the turn that was peeked at.
    #[inline]
    pub(super) fn take(&mut self) -> Option<Turn> {
        self.ahead.take()
    }

    pub(super) fn gap(&mut self) {
        self.comparator.gap();
        self.forget();
    }

    pub(super) fn reset(&mut self) {
        self.comparator.reset();
        self.forget();
    }

    fn forget(&mut self) {
        self.told = false;
        self.held = None;
        self.ahead.take();
    }
}
