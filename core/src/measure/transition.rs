//! Transitions: the signal goes from one state to the other.
//!
//! ```text
//! high ─ ─ ─ ─ ─ ─ ─ ╭──────
//! high reference ─ ─╱─ end
//! mid reference ─ ─╱─ ─ mid
//! low reference ─ ╱─ ─ begin
//! low ───────────╯
//! ```

use super::threshold::Threshold;
use super::{Reason, References};
use crate::{Block, Comparator, Crossing, Instant, Level, Sample, Slope, Span};

/// The signal passed from one state to the other.
///
/// Instants are positions in the record. The middle one is the last passage of the mid reference
/// before the signal is beyond it by the hysteresis; the others are the nearest samples at or
/// beyond the references on either side, where the record has them and the signal does not turn
/// back on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Transition {
    /// Its direction.
    pub slope: Slope,
    /// When it passed the first reference: the low one on the way up.
    pub begin: Option<Instant>,
    /// When it passed the mid reference.
    pub mid: Instant,
    /// When it passed the last reference: the high one on the way up.
    pub end: Option<Instant>,
}

impl Transition {
    /// How long it took from the first to the last reference (IEEE Std 181-2011, transition
    /// duration; from memory).
    ///
    /// # Errors
    /// [`Reason::NoTransition`] where the record does not hold all of it; [`Reason::TooFast`]
    /// where it holds no sample between the two references.
    pub fn duration(&self) -> Result<Span, Reason> {
        let (begin, end) = self.begin.zip(self.end).ok_or(Reason::NoTransition)?;
        let time = end.since(begin);
        if begin.position == end.position || time == Span::ZERO {
            return Err(Reason::TooFast);
        }
        Ok(time)
    }
}

/// The transitions of a record, in order; slopes alternate. Made by
/// [`Meter::transitions`](super::Meter::transitions).
#[derive(Clone, Debug)]
pub struct Transitions<'a, T: Sample> {
    samples: &'a [T],
    comparator: Comparator<T>,
    low: Threshold<T>,
    mid: Threshold<T>,
    high: Threshold<T>,
}

impl<'a, T: Sample> Transitions<'a, T> {
    /// For reference levels and a hysteresis to either side of the middle one, in counts; `None`
    /// where no sample reaches one of them.
    pub(super) fn new(samples: &'a [T], references: References, hysteresis: f64) -> Option<Self> {
        let mid = Threshold::new(references.mid)?;
        // High from the first sample at or over the band, low from the first at or under it.
        let above = Threshold::<T>::new(references.mid + hysteresis)?.over().widen();
        let below = Threshold::<T>::new(references.mid - hysteresis)?.under().successor().widen();
        let level = Level::new(above, T::saturating_sub(above, below)).ok()?;
        Some(Self {
            samples,
            comparator: Comparator::new(Slope::Rising, level).ok()?,
            low: Threshold::new(references.low)?,
            mid,
            high: Threshold::new(references.high)?,
        })
    }

    /// The first sample of the passage of the middle that ends at sample `index` or before.
    #[inline]
    fn middle(&self, slope: Slope, index: usize) -> usize {
        let before = self.samples.get(..index).unwrap_or(&[]);
        let bound = self.mid.past(slope);
        let last = match slope {
            Slope::Rising => before.iter().rposition(|&x| x < bound),
            Slope::Falling => before.iter().rposition(|&x| x > bound),
        };
        last.map_or(index, |last| last + 1)
    }
}

impl<T: Sample> Iterator for Transitions<'_, T> {
    type Item = Transition;

    fn next(&mut self) -> Option<Transition> {
        let channels = [self.samples];
        let Crossing { slope, at } = self.comparator.next(&Block::new(0, &channels))?;
        let middle = self.middle(slope, at.position as usize);
        let (first, last) = match slope {
            Slope::Rising => (&self.low, &self.high),
            Slope::Falling => (&self.high, &self.low),
        };
        let (before, after) = self.samples.split_at_checked(middle)?;
        // Either search ends at the reference it is for, or, turned back, at the other one.
        let (low, high) = (self.low.under(), self.high.over());
        let is_outside = |x: &T| (*x <= low) | (*x >= high);
        let begin = before
            .iter()
            .rposition(is_outside)
            .filter(|&i| before.get(i).is_some_and(|&x| first.is_past(slope.opposite(), x)));
        let end = after
            .iter()
            .position(is_outside)
            .filter(|&i| after.get(i).is_some_and(|&x| last.is_past(slope, x)));
        Some(Transition {
            slope,
            begin: begin.map(|i| first.instant(self.samples, i + 1)),
            mid: self.mid.instant(self.samples, middle),
            end: end.map(|i| last.instant(self.samples, middle + i)),
        })
    }
}
