//! Mean and RMS over whole cycles, so that a partial cycle at the end does not shift them.

use super::number::real;
use super::statistics::Sums;
use super::{Meter, Reason, Statistics};
use crate::{Instant, Sample};

impl Meter {
    /// Computes the statistics of the whole cycles of a record: from the middle of the first
    /// transition to the middle of the last one with the same slope.
    ///
    /// Each sample stands for the time from half a sample before it to half a sample after it. The
    /// first and the last sample are weighted by the part of that time that lies within.
    ///
    /// ```
    /// use stillwave::measure::{Meter, Statistics};
    /// // Two cycles and a half of a mean of 100.
    /// let samples: Vec<u8> = (0..50).map(|i| if i % 20 < 10 { 150 } else { 50 }).collect();
    /// assert_eq!(Statistics::of(&samples)?.mean, 110.0);
    /// assert_eq!(Meter::default().over_cycles(&samples)?.mean, 100.0);
    /// # Ok::<(), stillwave::measure::Reason>(())
    /// ```
    ///
    /// # Errors
    /// The errors of [`StateLevels::of`](super::StateLevels::of); [`Reason::Clipped`],
    /// [`Reason::NoTransition`], [`Reason::NotEnoughCycles`].
    pub fn over_cycles<T: Sample>(&self, samples: &[T]) -> Result<Statistics, Reason> {
        let levels = self.unclipped_levels(samples)?;
        let mut transitions = self.transitions_between(samples, &levels)?;
        let first = transitions.next().ok_or(Reason::NoTransition)?;
        let last = transitions
            .filter(|transition| transition.slope == first.slope)
            .last()
            .ok_or(Reason::NotEnoughCycles)?;
        weighed(samples, first.mid, last.mid)
    }
}

/// The statistics of the time from one instant to another.
fn weighed<T: Sample>(samples: &[T], from: Instant, to: Instant) -> Result<Statistics, Reason> {
    let (first, before) = sample_at(from);
    let (last, after) = sample_at(to);
    let whole = samples.get(first..=last).ok_or(Reason::NotEnoughCycles)?;
    let (head, tail) = whole.first().zip(whole.last()).ok_or(Reason::NotEnoughCycles)?;
    let sums = Sums::of(whole)?;
    let found = sums.statistics();
    // What the first and the last sample stand for outside is taken off again.
    let (before, after) = (before, 1.0 - after);
    let weight = whole.len() as f64 - before - after;
    let (head, tail) = (real(*head) - found.mean, real(*tail) - found.mean);
    let shift = -(before * head + after * tail) / weight;
    let squares = found.ac_rms * found.ac_rms * whole.len() as f64;
    let squares = squares - before * head * head - after * tail * tail;
    let variance = (squares / weight - shift * shift).max(0.0);
    let mean = found.mean + shift;
    let ac_rms = libm::sqrt(variance);
    Ok(Statistics { mean, ac_rms, rms: libm::hypot(mean, ac_rms), ..found })
}

/// The sample that stands for an instant, and how much of its time has passed by then.
fn sample_at(at: Instant) -> (usize, f64) {
    let lead = f64::from(at.lead) / 65536.0;
    let position = at.position as usize;
    if lead > 0.5 { (position.saturating_sub(1), 1.5 - lead) } else { (position, 0.5 - lead) }
}
