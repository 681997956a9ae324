//! What a signal does at two levels, one after the other.

use super::Lookahead;
use crate::compare::Flip;
use crate::{Band, Block, Comparator, ConfigError, Sample, Slope};

/// A step of the signal, relative to the level that it passes first.
#[derive(Clone, Copy, Debug)]
pub(super) enum Step<T> {
    /// The signal passed the first level.
    First(Flip<T>),
    /// The signal passed the second level.
    Second(Flip<T>),
    /// The signal went back through the first level, beyond its hysteresis.
    Back(Flip<T>),
}

/// Two comparators of one slope, with their crossings in order of position. If a signal passes both
/// levels between two samples, it passes the first before the second.
///
/// Both have the same hysteresis, so whatever arms the first level has already armed the second.
/// Between a `First` and a `Back` there is a `Second` whenever the signal is at or past that level.
#[derive(Clone, Debug)]
pub(super) struct Thresholds<T: Sample> {
    first: Comparator<T>,
    second: Comparator<T>,
    next_first: Lookahead<Flip<T>>,
    next_second: Lookahead<Flip<T>>,
}

impl<T: Sample> Thresholds<T> {
    /// Makes the comparators. For a rising slope: from the band's lower level to its upper; for a
    /// falling one, the mirror.
    ///
    /// # Errors
    /// The errors of [`Band::new`].
    pub(super) fn new(slope: Slope, band: Band<T>) -> Result<Self, ConfigError> {
        let band = band.validated()?;
        let (first, second) = match slope {
            Slope::Rising => (band.lower(), band.upper()),
            Slope::Falling => (band.upper(), band.lower()),
        };
        Ok(Self {
            first: Comparator::new(slope, first)?,
            second: Comparator::new(slope, second)?.only_passages(),
            next_first: Lookahead::default(),
            next_second: Lookahead::default(),
        })
    }

    /// The direction from the first level to the second.
    #[inline]
    pub(super) fn slope(&self) -> Slope {
        self.first.slope()
    }

    /// The next step in `block`, or `None` at its end.
    #[inline]
    pub(super) fn next(&mut self, block: &Block<'_, T>) -> Option<Step<T>> {
        let slope = self.slope();
        let Self { first, second, next_first, next_second } = self;
        let one = next_first.peek(|| first.next_flip(block));
        let other = next_second.peek(|| fetch(second, block));
        let first_first = match (one, other) {
            (Some(one), Some(other)) => one.position <= other.position,
            (one, _) => one.is_some(),
        };
        if first_first {
            next_first.take().map(|flip| of_first(slope, flip))
        } else {
            next_second.take().map(Step::Second)
        }
    }

    /// Calls `f` for every step left in `block`, as [`next`](Self::next) to the end would; this is
    /// faster when there are many steps.
    #[inline]
    pub(super) fn for_each(&mut self, block: &Block<'_, T>, mut f: impl FnMut(Step<T>)) {
        let slope = self.slope();
        let Self { first, second, next_first, next_second } = self;
        let mut on_first = |flip: Flip<T>| {
            while let Some(other) = next_second.peek(|| fetch(second, block))
                && other.position < flip.position
            {
                next_second.take();
                f(Step::Second(other));
            }
            f(of_first(slope, flip));
        };
        if let Some(held) = next_first.take() {
            on_first(held);
        }
        first.for_each_flip(block, on_first);
        while let Some(other) = next_second.take().or_else(|| fetch(second, block)) {
            f(Step::Second(other));
        }
    }

    pub(super) fn gap(&mut self) {
        self.first.gap();
        self.second.gap();
        (self.next_first, self.next_second) = Default::default();
    }

    pub(super) fn reset(&mut self) {
        self.first.reset();
        self.second.reset();
        (self.next_first, self.next_second) = Default::default();
    }
}

#[inline]
fn of_first<T: Sample>(slope: Slope, flip: Flip<T>) -> Step<T> {
    if flip.slope == slope { Step::First(flip) } else { Step::Back(flip) }
}

/// Not inlined: one copy of the search was faster than three inlined ones.
#[inline(never)]
fn fetch<T: Sample>(comparator: &mut Comparator<T>, block: &Block<'_, T>) -> Option<Flip<T>> {
    comparator.next_flip(block)
}
