//! Transitions: the signal goes from one state to the other.
//!
//! ```text
//! high ─ ─ ─ ─ ─ ─ ─ ╭──────
//! high reference ─ ─╱─ end
//! mid reference ─ ─╱─ ─ mid
//! low reference ─ ╱─ ─ begin
//! low ───────────╯
//! ```

use super::histogram::Binning;
use super::smooth::Smooth;
use super::threshold::Threshold;
use super::{Reason, References};
use crate::{Block, Comparator, Crossing, Instant, Level, Sample, Slope, Span};

/// A passage of the signal from one state to the other.
///
/// Instants are positions in the record. The middle instant is the last passage of the mid
/// reference before the signal is beyond it by the hysteresis, which makes it a transition. The
/// others are the nearest passages of the outer references on either side, if the signal was there
/// since the previous transition, and is there before the next.
///
/// A ramp from 10 % to 90 %:
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
    /// The direction of the transition.
    pub slope: Slope,
    /// When the signal passed the first reference: the low one if rising.
    pub begin: Option<Instant>,
    /// When the signal passed the mid reference.
    pub mid: Instant,
    /// When the signal passed the last reference: the high one if rising.
    pub end: Option<Instant>,
}

impl Transition {
    /// The time from the first to the last reference (IEEE Std 181-2011, transition duration; from
    /// memory).
    ///
    /// # Errors
    /// [`Reason::NoTransition`] if the record does not hold all of it; [`Reason::TooFast`] if there
    /// is no sample between the two references.
    pub fn duration(&self) -> Result<Span, Reason> {
        let (begin, end) = self.begin.zip(self.end).ok_or(Reason::NoTransition)?;
        let time = end.since(begin);
        if begin.position == end.position || time == Span::ZERO {
            return Err(Reason::TooFast);
        }
        Ok(time)
    }
}

/// Iterates over the transitions of a record, in order; slopes alternate. Made by
/// [`Meter::transitions`](super::Meter::transitions).
#[derive(Clone, Debug)]
pub struct Transitions<'a, T: Sample> {
    samples: &'a [T],
    finder: Finder<'a, T>,
    low: Threshold<T>,
    /// The mid thresholds for rising and for falling.
    mid: (Threshold<T>, Threshold<T>),
    high: Threshold<T>,
    by_most: bool,
    /// Where the last crossing was found, and the next one: a transition lies between.
    last: usize,
    next: Option<Found>,
    /// Whether the first crossing has been looked for. `new` does not look, because its result
    /// would need a copy.
    begun: bool,
}

/// How passages are found.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Passages<T> {
    /// The number of samples in a sum, and the samples that count, if passages are found in sums.
    pub(super) sums: Option<(Binning<T>, u32)>,
    /// Whether the signal rests near the middle, so that instants are taken beyond it by the
    /// hysteresis.
    pub(super) beside_middle: bool,
    /// Whether the side that most samples are on decides, instead of the nearest passage.
    pub(super) by_most: bool,
}

/// What finds that the signal went from one side to the other.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant)] // there is no heap for the larger one
enum Finder<'a, T: Sample> {
    /// Finds it in the samples themselves.
    Samples(Comparator<T>),
    /// Finds it in sums of some samples.
    Sums(Smooth<'a, T>),
}

/// A passage of the signal to the other side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub(super) slope: Slope,
    /// The sample at which it is certain.
    pub(super) index: usize,
    /// When the signal passed the middle, if that is known already.
    pub(super) mid: Option<Instant>,
}

impl<T: Sample> Finder<'_, T> {
    fn next(&mut self, samples: &[T]) -> Option<Found> {
        match self {
            Self::Samples(comparator) => {
                let Crossing { slope, at } = comparator.next(&Block::new(0, &[samples]))?;
                Some(Found { slope, index: at.position as usize, mid: None })
            }
            Self::Sums(smooth) => smooth.next(),
        }
    }
}

impl<'a, T: Sample> Transitions<'a, T> {
    /// Makes it for reference levels and a hysteresis to either side of the middle one, in counts;
    /// `None` if no sample reaches one of them.
    pub(super) fn new(
        samples: &'a [T],
        references: References,
        hysteresis: f64,
        how: Passages<T>,
    ) -> Option<Self> {
        let (above, below) = (references.mid + hysteresis, references.mid - hysteresis);
        let mid = if how.beside_middle { (above, below) } else { (references.mid, references.mid) };
        let finder = if let Some((within, window)) = how.sums {
            let smooth = Smooth::new(samples, within, window, references.mid, hysteresis);
            Finder::Sums(if how.beside_middle { smooth.beside_middle() } else { smooth })
        } else {
            // High from the first sample at or over the band, low from the first at or under it.
            let above = Threshold::<T>::new(above)?.over().widen();
            let below = Threshold::<T>::new(below)?.under().successor().widen();
            let level = Level::new(above, T::saturating_sub(above, below)).ok()?;
            Finder::Samples(Comparator::new(Slope::Rising, level).ok()?)
        };
        Some(Self {
            samples,
            finder,
            low: Threshold::new(references.low)?,
            mid: (Threshold::new(mid.0)?, Threshold::new(mid.1)?),
            high: Threshold::new(references.high)?,
            by_most: how.by_most,
            last: 0,
            next: None,
            begun: false,
        })
    }
}

impl<T: Sample> Iterator for Transitions<'_, T> {
    type Item = Transition;

    fn next(&mut self) -> Option<Transition> {
        if !core::mem::replace(&mut self.begun, true) {
            self.next = self.finder.next(self.samples);
        }
        let Found { slope, index, mid } = self.next?;
        self.next = self.finder.next(self.samples);
        let until = self.next.map_or(self.samples.len(), |next| next.index);
        let from = core::mem::replace(&mut self.last, index);
        let (first, at, last) = match slope {
            Slope::Rising => (&self.low, &self.mid.0, &self.high),
            Slope::Falling => (&self.high, &self.mid.1, &self.low),
        };
        let middle = if let Some(mid) = mid {
            (mid.position as usize).max(from).min(index)
        } else {
            let before = self.samples.get(from..index)?;
            from + at.last_short_of(slope, before).map_or(0, |index| index + 1)
        };
        let before = self.samples.get(from..middle)?;
        let after = self.samples.get(middle..until)?;
        let (begin, end) = if self.by_most {
            // As seen from the middle, either is where the signal goes back behind the level.
            let begin = most(before.iter().rev().map(|&x| first.is_past(slope.opposite(), x)));
            let end = most(after.iter().map(|&x| last.is_past(slope, x)));
            (begin.and_then(|steps| before.len().checked_sub(steps + 1)), end)
        } else {
            (first.last_past(slope.opposite(), before), last.first_past(slope, after))
        };
        let begin = begin.map(|index| from + index + 1);
        let end = end.map(|index| middle + index);
        Some(Transition {
            slope,
            begin: begin.map(|index| first.instant(self.samples, index)),
            mid: mid.unwrap_or_else(|| at.instant(self.samples, middle)),
            end: end.map(|index| last.instant(self.samples, index)),
        })
    }
}

/// How many steps it takes to the point where most samples before are not past a level and most
/// after are; `None` if there is none.
fn most(past: impl Iterator<Item = bool>) -> Option<usize> {
    let (mut found, mut sum, mut best) = (None, 0_i32, i32::MIN);
    for (steps, is_past) in past.enumerate() {
        // The sum of all before: what is past counts against it.
        if is_past && sum > best {
            (found, best) = (Some(steps), sum);
        }
        sum = sum.saturating_add(if is_past { -1 } else { 1 });
        if found.is_some() && sum < best.saturating_sub(32) {
            break;
        }
    }
    found
}
