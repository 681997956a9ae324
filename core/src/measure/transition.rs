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
/// before the signal is beyond it by the hysteresis, which makes it a transition; the others are
/// the nearest passages of the outer references on either side, where the signal was there since
/// the transition before, and is there before the next.
///
/// The way from 10 % to 90 % of a ramp:
///
/// ```
/// use stillwave::{Slope, measure::Meter};
/// let ramps: Vec<u8> = (0..400).map(|i| ((i % 100_i32 - 50).abs() * 10 - 150).clamp(0, 200) as u8).collect();
/// let rising = Meter::default().transitions(&ramps)?.find(|t| t.slope == Slope::Rising).unwrap();
/// // From 20 to 180, at 10 counts a sample.
/// assert_eq!(rising.duration()?.to_samples(), 16.0);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
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
    /// Where the last crossing was found, and the next one: a transition lies between.
    last: usize,
    next: Option<Crossing>,
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
        let mut comparator = Comparator::new(Slope::Rising, level).ok()?;
        let next = comparator.next(&Block::new(0, &[samples]));
        Some(Self {
            samples,
            comparator,
            low: Threshold::new(references.low)?,
            mid,
            high: Threshold::new(references.high)?,
            last: 0,
            next,
        })
    }
}

impl<T: Sample> Iterator for Transitions<'_, T> {
    type Item = Transition;

    fn next(&mut self) -> Option<Transition> {
        let Crossing { slope, at } = self.next?;
        self.next = self.comparator.next(&Block::new(0, &[self.samples]));
        let until = self.next.map_or(self.samples.len(), |next| next.at.position as usize);
        let from = core::mem::replace(&mut self.last, at.position as usize);
        let (first, last) = match slope {
            Slope::Rising => (&self.low, &self.high),
            Slope::Falling => (&self.high, &self.low),
        };
        let before = self.samples.get(from..self.last)?;
        let middle = from + self.mid.last_short_of(slope, before).map_or(0, |index| index + 1);
        let before = self.samples.get(from..middle)?;
        let after = self.samples.get(middle..until)?;
        let begin = first.last_past(slope.opposite(), before).map(|index| from + index + 1);
        let end = last.first_past(slope, after).map(|index| middle + index);
        Some(Transition {
            slope,
            begin: begin.map(|index| first.instant(self.samples, index)),
            mid: self.mid.instant(self.samples, middle),
            end: end.map(|index| last.instant(self.samples, index)),
        })
    }
}
