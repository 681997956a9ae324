//! Statistics of a record's samples, regardless of their order: extremes, mean, RMS.

use super::extremes::Extremes;
use super::number::{CHUNK, for_each, real};
use super::{Reason, Value};
use crate::sample::Number;
use crate::{Sample, Scale};

/// The number of parallel sums, so that floating-point additions need not wait for each other. It
/// is the same everywhere, and so is the result.
const LANES: usize = 8;

/// The extremes, mean and RMS of a record, in counts.
///
/// With N samples x: mean = Σx / N; RMS = √(Σx² / N), about the count 0; AC RMS = √(Σ(x − mean)² /
/// N), about the mean. For integer samples the sums are exact and each result is rounded at most
/// three times; for `f32` samples the sums are computed in `f64`.
///
/// ```
/// use stillwave::measure::Statistics;
/// let found = Statistics::of(&[1_u16, 2, 3, 6])?;
/// assert_eq!((found.minimum, found.maximum, found.mean), (1.0, 6.0, 3.0));
/// assert_eq!((found.rms, found.ac_rms), (12.5_f64.sqrt(), 3.5_f64.sqrt()));
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Statistics {
    /// The smallest sample.
    pub minimum: f64,
    /// The largest sample.
    pub maximum: f64,
    /// The mean: the DC value.
    pub mean: f64,
    /// The root of the mean square, DC included.
    pub rms: f64,
    /// The root of the mean square about the mean: the standard deviation.
    pub ac_rms: f64,
}

impl Statistics {
    /// Computes the statistics of a record.
    ///
    /// # Errors
    /// [`Reason::Empty`]; [`Reason::NotFinite`] if any sample is not finite.
    pub fn of<T: Sample>(samples: &[T]) -> Result<Self, Reason> {
        Ok(Sums::of(samples)?.statistics())
    }

    /// Converts counts to volts at the probe's tip, with the RMS about 0 V. If the front end
    /// inverts, minimum and maximum are swapped.
    ///
    /// ```
    /// use stillwave::{Scale, measure::Statistics};
    /// let volts = Statistics::of(&[118_u8, 138])?.scaled(Scale::new(-0.1, 108.0)?);
    /// assert_eq!((volts.minimum, volts.maximum, volts.mean), (-3.0, -1.0, -2.0));
    /// assert_eq!((volts.rms, volts.ac_rms), (5.0_f64.sqrt(), 1.0));
    /// # Ok::<(), Box<dyn core::error::Error>>(())
    /// ```
    #[must_use]
    pub fn scaled(self, scale: Scale) -> Self {
        let (minimum, maximum) = (scale.volts(self.minimum), scale.volts(self.maximum));
        let size = libm::fabs(scale.volts_per_count);
        Self {
            minimum: minimum.min(maximum),
            maximum: minimum.max(maximum),
            mean: scale.volts(self.mean),
            rms: rms_in_volts(self.ac_rms, self.mean, scale),
            ac_rms: self.ac_rms * size,
        }
    }
}

/// The RMS about 0 V, from the AC RMS and the mean in counts.
pub(super) fn rms_in_volts(ac_rms: f64, mean: f64, scale: Scale) -> f64 {
    libm::hypot(ac_rms, mean - scale.zero) * libm::fabs(scale.volts_per_count)
}

/// The mean of a record, in counts.
///
/// For −1 and 3:
///
/// ```
/// use stillwave::measure::{ac_rms, mean, rms};
/// let samples = [-1_i8, 3];
/// assert_eq!((mean(&samples), rms(&samples), ac_rms(&samples)), (Ok(1.0), Ok(5_f64.sqrt()), Ok(2.0)));
/// ```
///
/// # Errors
/// The errors of [`Statistics::of`].
pub fn mean<T: Sample>(samples: &[T]) -> Value {
    Ok(Statistics::of(samples)?.mean)
}

/// The root mean square of a record about the count 0, in counts.
///
/// # Errors
/// The errors of [`Statistics::of`].
pub fn rms<T: Sample>(samples: &[T]) -> Value {
    Ok(Statistics::of(samples)?.rms)
}

/// The root mean square of a record about its mean, in counts.
///
/// # Errors
/// The errors of [`Statistics::of`].
pub fn ac_rms<T: Sample>(samples: &[T]) -> Value {
    Ok(Statistics::of(samples)?.ac_rms)
}

/// The extremes and sums of a record.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sums<T> {
    pub(super) extremes: Extremes<T>,
    sum: f64,
    mean: f64,
    mean_square: f64,
    variance: f64,
}

impl<T: Sample> Sums<T> {
    pub(super) fn of(samples: &[T]) -> Result<Self, Reason> {
        let &first = samples.first().ok_or(Reason::Empty)?;
        match first.number() {
            Number::Real(_) => Self::of_reals(samples, first),
            _ => Ok(Self::of_integers(samples, first)),
        }
    }

    #[inline(never)]
    fn of_integers(samples: &[T], first: T) -> Self {
        let mut extremes = Extremes::of_one(first);
        let (mut sum, mut squares) = (0_i128, 0_u128);
        for chunk in samples.chunks(CHUNK) {
            let (mut narrow, mut wide) = (0_i32, 0_i64);
            let (mut narrow_squares, mut wide_squares) = (0_u64, 0_u128);
            for_each(chunk, |x| {
                extremes.add(x);
                match x.number() {
                    Number::Narrow(x) => {
                        narrow = narrow.wrapping_add(x);
                        // Of 16 bits: the square fits 32, which small chips multiply at once.
                        narrow_squares += u64::from(x.wrapping_mul(x) as u32);
                    }
                    Number::Wide(x) => {
                        wide += x;
                        wide_squares += u128::from(x.unsigned_abs().pow(2));
                    }
                    Number::Real(_) => {}
                }
            });
            sum += i128::from(i64::from(narrow) + wide);
            squares += u128::from(narrow_squares) + wide_squares;
        }
        let n = samples.len() as u64;
        let count = n as f64;
        // N·Σx² − (Σx)² keeps every digit. Short records of 16 bits need no long words for it.
        let short = match (u64::try_from(squares), i64::try_from(sum)) {
            (Ok(squares), Ok(sum)) if n < 1 << 16 && squares < 1 << 48 => {
                let spread = (n * squares).saturating_sub(sum.unsigned_abs().wrapping_pow(2));
                Some((sum as f64, squares as f64, spread as f64))
            }
            _ => None,
        };
        let (total, squares, spread) = short.unwrap_or_else(|| {
            // Only beyond 2^32 samples of 32 bits may it not fit.
            let spread = u128::from(n)
                .checked_mul(squares)
                .zip(sum.unsigned_abs().checked_pow(2))
                .map(|(a, b)| a.saturating_sub(b) as f64);
            let (total, squares) = (sum as f64, squares as f64);
            (total, squares, spread.unwrap_or(squares * count - total * total))
        });
        Self {
            extremes,
            sum: total,
            mean: total / count,
            mean_square: squares / count,
            variance: spread / (count * count),
        }
    }

    fn of_reals(samples: &[T], first: T) -> Result<Self, Reason> {
        let mut extremes = Extremes::of_one(first);
        for &x in samples {
            extremes.add(x);
        }
        let count = samples.len() as f64;
        let (sum, squares) = moments(samples, 0.0);
        // One sample that is not finite makes the sum so; finite ones cannot.
        if !sum.is_finite() {
            return Err(Reason::NotFinite);
        }
        // About the mean, small swings on a large offset keep their digits.
        let mean = sum / count;
        let (rest, spread) = moments(samples, mean);
        let variance = spread / count - (rest / count) * (rest / count);
        Ok(Self { extremes, sum, mean, mean_square: squares / count, variance })
    }

    /// Σx
    pub(super) fn sum(&self) -> f64 {
        self.sum
    }

    pub(super) fn statistics(&self) -> Statistics {
        Statistics {
            minimum: real(self.extremes.minimum),
            maximum: real(self.extremes.maximum),
            mean: self.mean,
            rms: libm::sqrt(self.mean_square),
            ac_rms: libm::sqrt(self.variance.max(0.0)),
        }
    }
}

/// Σ(x − about) and Σ(x − about)².
fn moments<T: Sample>(samples: &[T], about: f64) -> (f64, f64) {
    let mut lanes = [(0.0, 0.0); LANES];
    for chunk in samples.chunks(LANES) {
        for ((sum, squares), &x) in lanes.iter_mut().zip(chunk) {
            let distance = real(x) - about;
            *sum += distance;
            *squares += distance * distance;
        }
    }
    lanes.iter().fold((0.0, 0.0), |total, lane| (total.0 + lane.0, total.1 + lane.1))
}
