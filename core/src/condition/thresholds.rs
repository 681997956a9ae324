//! What a signal does at two levels that it passes one after the other.

use super::Lookahead;
use crate::{Band, Block, Comparator, ConfigError, Crossing, Instant, Sample, Slope};

/// A step of the signal, seen from the level that it passes first.
#[derive(Clone, Copy, Debug)]
pub(super) enum Step {
    /// It passed the first level.
    First(Instant),
    /// It passed the second.
    Second(Instant),
    /// It went back through the first, beyond its hysteresis.
    Back(Instant),
}

/// Two comparators of one slope, their crossings in order of position.
///
/// Both have the same hysteresis, so whatever arms the first level has armed the second: between
/// a `First` and a `Back` there is a `Second` wherever the signal is at or past that level.
#[derive(Clone, Debug)]
pub(super) struct Thresholds<T: Sample> {
    first: Comparator<T>,
    second: Comparator<T>,
    next_first: Lookahead<Crossing>,
    next_second: Lookahead<Crossing>,
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
            second: Comparator::new(slope, second)?,
            next_first: Lookahead::default(),
            next_second: Lookahead::default(),
        })
    }

    /// The direction from the first level to the second.
    #[inline]
    pub(super) fn slope(&self) -> Slope {
        self.first.slope()
    }

    /// The next step in `block`, or `None` at its end. A signal that passes both levels between
    /// two samples passes the first before the second.
    #[inline]
    pub(super) fn next(&mut self, block: &Block<'_, T>) -> Option<Step> {
        let slope = self.slope();
        let Self { first, second, next_first, next_second } = self;
        loop {
            let one = next_first.peek(|| first.next(block));
            let other = next_second.peek(|| second.next(block));
            let first_first = match (one, other) {
                (Some(one), Some(other)) => one.at.position <= other.at.position,
                (one, _) => one.is_some(),
            };
            if first_first {
                let Crossing { slope: into, at } = next_first.take()?;
                return Some(if into == slope { Step::First(at) } else { Step::Back(at) });
            }
            let Crossing { slope: into, at } = next_second.take()?;
            if into == slope {
                return Some(Step::Second(at));
            }
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
