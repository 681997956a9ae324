//! State levels: the two voltages that a signal goes between.

use super::histogram::{BINS, Binning, Stretch};
use super::number::real;
use super::statistics::Sums;
use super::{Reason, References};
use crate::Sample;

/// The two levels that a signal goes between, in counts.
///
/// By the histogram's mode (IEEE Std 181-2011, state levels by histogram; from memory): the range
/// of the samples is cut into equal bins and split in the middle; the fullest bin of either half
/// is that half's state. The level is the mean of the samples in that bin, not its centre, so that
/// a clean signal's levels are exact.
///
/// There are a bin for 4 samples, but at least 16 and at most 256; for integers, perhaps half as
/// many, since each is a power of two counts wide. A half whose fullest bin holds no more than twice the average and 4 (a ramp, a
/// triangle) has no mode: its level is the extreme. Levels nearer to each other than a quarter of
/// the peak-to-peak range are one level.
///
/// ```
/// use stillwave::measure::StateLevels;
/// let square: Vec<u16> = (0..400).map(|i| if i % 40 < 10 { 3000 } else { 500 }).collect();
/// let levels = StateLevels::of(&square)?;
/// assert_eq!((levels.low, levels.high, levels.amplitude()), (500.0, 3000.0, 2500.0));
/// assert_eq!(levels.at(0.5), 1750.0);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct StateLevels {
    /// The low state.
    pub low: f64,
    /// The high state.
    pub high: f64,
}

impl StateLevels {
    /// The levels of a record.
    ///
    /// # Errors
    /// [`Reason::Empty`], [`Reason::NotFinite`], [`Reason::OneLevel`].
    pub fn of<T: Sample>(samples: &[T]) -> Result<Self, Reason> {
        let sums = Sums::of(samples)?;
        Self::between(samples, sums.minimum, sums.maximum)
    }

    /// The levels of a record whose extremes are known.
    pub(super) fn between<T: Sample>(
        samples: &[T],
        minimum: T,
        maximum: T,
    ) -> Result<Self, Reason> {
        if minimum >= maximum {
            return Err(Reason::OneLevel);
        }
        let binning = Binning::new(minimum, maximum, samples.len());
        // Short counts for short records: half the stack.
        let (low, high) = if u16::try_from(samples.len()).is_ok() {
            modes::<u16, T>(&binning, samples)
        } else {
            modes::<usize, T>(&binning, samples)
        };
        let extremes = (real(minimum), real(maximum));
        let (low, high) = if low.is_none() && high.is_none() {
            extremes
        } else {
            let end = |bin| Stretch { first: bin, last: bin };
            let (a, b) = (low.unwrap_or(end(0)), high.unwrap_or(end(binning.last())));
            let means = binning.means(samples, a, b);
            (low.map_or(extremes.0, |_| means.0), high.map_or(extremes.1, |_| means.1))
        };
        if 4.0 * (high - low) < real(maximum) - real(minimum) {
            return Err(Reason::OneLevel);
        }
        Ok(Self { low, high })
    }

    /// The difference of the two levels.
    pub fn amplitude(self) -> f64 {
        self.high - self.low
    }

    /// The level at a fraction of the amplitude above the low state: 0.5 for the 50 % level.
    pub fn at(self, fraction: f64) -> f64 {
        self.low + fraction * self.amplitude()
    }

    /// The levels that timing refers to, in counts.
    pub(super) fn references(self, fractions: References) -> References {
        References {
            low: self.at(fractions.low),
            mid: self.at(fractions.mid),
            high: self.at(fractions.high),
        }
    }
}

/// The fullest bin of either half, where it stands out. Its own frame, so that the counts leave
/// the stack before timing begins.
#[inline(never)]
fn modes<C, T: Sample>(binning: &Binning<T>, samples: &[T]) -> (Option<Stretch>, Option<Stretch>)
where
    C: Copy + From<u8> + core::ops::AddAssign + Into<usize>,
{
    let mut counts = [C::from(0); BINS];
    binning.count(samples, &mut counts);
    // An odd number of bins leaves the middle one to neither half.
    let last = binning.last();
    let half = last.div_ceil(2);
    let low = counts.get(..half).unwrap_or(&[]);
    let high = counts.get(last + 1 - half..=last).unwrap_or(&[]);
    let stretch = |bin| Stretch { first: bin, last: bin };
    (
        mode(low.iter()).map(stretch),
        mode(high.iter().rev()).map(|bin| stretch(last.saturating_sub(bin))),
    )
}

/// The fullest of some bins, where it stands out; the first of equals, which is the outermost.
fn mode<'a, C>(counts: impl ExactSizeIterator<Item = &'a C>) -> Option<usize>
where
    C: Copy + Into<usize> + 'a,
{
    let bins = counts.len();
    let (mut fullest, mut mode, mut total) = (0, 0, 0);
    for (bin, &count) in counts.enumerate() {
        let count = count.into();
        // Together no more than the samples of a record.
        total += count;
        if count > fullest {
            (fullest, mode) = (count, bin);
        }
    }
    let average = total.checked_div(bins)?;
    let stands_out = fullest > average.saturating_mul(2).saturating_add(4);
    (stands_out || fullest >= total - fullest).then_some(mode)
}
