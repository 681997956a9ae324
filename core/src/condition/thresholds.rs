//! What a signal does at two levels that it passes one after the other.

use super::Lookahead;
use crate::compare::Flip;
use crate::{Band, Block, Comparator, ConfigError, Sample, Slope};

/// A step of the signal, seen from the level that it passes first.
#[derive(Clone, Copy, Debug)]
pub(super) enum Step<T> {
    /// It passed the first level.
    First(Flip<T>),
    /// It passed the second.
    Second(Flip<T>),
    /// It went back through the first, beyond its hysteresis.
    Back(Flip<T>),
}

/// Two comparators of one slope, their crossings in order of position. A signal that passes both
/// levels between two samples passes the first before the second.
///
/// Both have the same hysteresis, so whatever arms the first level has armed the second: between
/// a `First` and a `Back` there is a `Second` wherever the signal is at or past that level.
#[derive(Clone, Debug)]
pub(super) struct Thresholds<T: Sample> {
    first: Comparator<T>,
    second: Comparator<T>,
    next_first: Lookahead<Flip<T>>,
    next_second: Lookahead<Flip<T>>,
}

impl<T: Sample> Thresholds<T> {
    /// Rising: from the band's lower level to its upper; falling: the mirror.
    ///
    /// # Errors
    /// As [`Band::new`].
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

    /// Gives every step left in `block`: [`next`](Self::next) to the end of it, faster where there
    /// are many.
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

/// One copy of the search: in line in three places it was slower.
#[inline(never)]
fn fetch<T: Sample>(comparator: &mut Comparator<T>, block: &Block<'_, T>) -> Option<Flip<T>> {
    comparator.next_flip(block)
}
