//! State levels: the two voltages that a signal goes between.

use super::extremes::Extremes;
use super::histogram::{BINS, Binning, Stretch};
use super::number::real;
use super::rest::Rest;
use super::states::{among, states};
use super::statistics::Sums;
use super::{Reason, References};
use crate::Sample;

/// The method that finds the two levels of a signal.
///
/// Mode, mean and shorth use a histogram (IEEE Std 181-2011, state levels by histogram; from
/// memory). The range of the samples is cut into equal bins and split in the middle, and each half
/// has a level. There is one bin for 4 samples, but at least 16 and at most 256; for integers
/// perhaps half as many, since each bin is a power of two counts wide.
///
/// ```
/// use stillwave::measure::{LevelMethod, StateLevels};
/// // A tenth of the time at 10, a tenth at 90, the rest on the way.
/// let samples: Vec<u8> = (0..400).map(|i| (i % 200_i32 - 100).abs().clamp(10, 90) as u8).collect();
/// let found = |method| StateLevels::by(method, &samples).map(|levels| levels.high.round());
/// assert_eq!(found(LevelMethod::Rest), Ok(90.0));
/// assert_eq!(found(LevelMethod::Mode), Ok(90.0));
/// assert_eq!(found(LevelMethod::Shorth), Ok(85.0));
/// assert_eq!(found(LevelMethod::Mean), Ok(74.0));
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LevelMethod {
    /// The level where the signal rests in each half of its range, or its peak without noise if it
    /// does not rest there. Outlying samples (spikes) are left out. This is no standard's method;
    /// `docs/ACCURACY.md` shows how well it does on signals whose levels are known.
    #[default]
    Rest,
    /// The mean of the samples in the fullest bin of each half. It is not the bin's centre, so that
    /// a clean signal's levels are exact. A half whose fullest bin holds no more than twice the
    /// average plus 4 (a ramp, a triangle) has no mode: its level is the extreme.
    Mode,
    /// The mean of all samples of each half. It is steady with wide noise, but slow transitions
    /// draw it inwards.
    Mean,
    /// The mean of the shortest half of each half's samples, to whole bins. Noise and transitions
    /// affect it between the two other methods (the shorth, which NIST TN 2036 compares with the
    /// mode).
    Shorth,
    /// The smallest and the largest sample, for signals that do not rest anywhere.
    Extremes,
}

/// The two levels between which a signal goes, in counts.
///
/// Levels closer to each other than a quarter of the peak-to-peak range count as one level, because
/// the two halves of pure noise are no farther apart.
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
    /// Finds the levels where a record rests, or its peaks ([`LevelMethod::Rest`]).
    ///
    /// # Errors
    /// [`Reason::Empty`], [`Reason::NotFinite`], [`Reason::OneLevel`].
    pub fn of<T: Sample>(samples: &[T]) -> Result<Self, Reason> {
        Self::by(LevelMethod::Rest, samples)
    }

    /// Finds the levels of a record by any method.
    ///
    /// # Errors
    /// The errors of [`of`](Self::of).
    pub fn by<T: Sample>(method: LevelMethod, samples: &[T]) -> Result<Self, Reason> {
        let sums = Sums::of(samples)?;
        Self::between(method, samples, &sums.extremes)
    }

    /// The levels of a record whose extremes are known.
    pub(super) fn between<T: Sample>(
        method: LevelMethod,
        samples: &[T],
        extremes: &Extremes<T>,
    ) -> Result<Self, Reason> {
        let &Extremes { minimum, maximum, .. } = extremes;
        if minimum >= maximum {
            return Err(Reason::OneLevel);
        }
        if method == LevelMethod::Rest {
            return Rest::of(samples, extremes).map(|rest| rest.levels);
        }
        let (bottom, top) = (real(minimum), real(maximum));
        if method == LevelMethod::Extremes {
            return Ok(Self { low: bottom, high: top });
        }
        let binning = Binning::new(minimum, maximum, samples.len());
        // Short counts for short records: half the stack.
        let (low, high) = if u16::try_from(samples.len()).is_ok() {
            states::<u16, T>(method, &binning, samples)
        } else {
            states::<usize, T>(method, &binning, samples)
        };
        let levels = if low.is_none() && high.is_none() {
            Self { low: bottom, high: top }
        } else {
            let end = |bin| Stretch { first: bin, last: bin };
            let (a, b) = (low.unwrap_or(end(0)), high.unwrap_or(end(binning.last())));
            let (a, b) = binning.means(samples, a, b);
            Self { low: low.map_or(bottom, |_| a), high: high.map_or(top, |_| b) }
        };
        if 4.0 * levels.amplitude() < top - bottom {
            return Err(Reason::OneLevel);
        }
        Ok(levels)
    }

    /// The low and the high mode of samples that have been counted, each as fine as its bin and
    /// only where it stands out.
    pub(crate) fn modes<T: Sample>(
        binning: &Binning<T>,
        counts: &[usize; BINS],
    ) -> (Option<f64>, Option<f64>) {
        let (low, high) = among(LevelMethod::Mode, binning, counts);
        let centre = |stretch: Stretch| binning.centre(stretch.first);
        (low.map(centre), high.map(centre))
    }

    /// The difference between the two levels.
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
