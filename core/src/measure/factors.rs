//! How a waveform's shape affects its size: crest factor, form factor, area.

use super::number::real;
use super::statistics::Sums;
use super::{Reason, Value};
use crate::Sample;
use crate::sample::Number;

/// The crest factor and form factor of a record, about the counts at 0 V.
///
/// Crest factor: the largest distance from zero over the RMS about zero; 1.41421 for a sine, 1 for
/// a square wave, 1.73205 for a triangle. Form factor: the RMS about zero over the mean distance
/// from zero (the rectified mean); 1.11072, 1 and 1.15470 for the same. (Textbook definitions.)
///
/// ```
/// use stillwave::measure::Factors;
/// let triangle: Vec<i16> = (0..4000).map(|i| (i % 4000 - 2000_i16).abs() - 1000).collect();
/// let factors = Factors::of(&triangle, 0.0)?;
/// assert!((factors.crest - 1.73205).abs() < 1e-5);
/// assert!((factors.form - 1.15470).abs() < 1e-5);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Factors {
    /// The peak over the RMS.
    pub crest: f64,
    /// The RMS over the rectified mean.
    pub form: f64,
    /// The mean distance from zero, in counts.
    pub rectified_mean: f64,
}

impl Factors {
    /// Computes the factors of a record about `zero`, the counts at 0 V.
    ///
    /// # Errors
    /// [`Reason::Empty`]; [`Reason::NotFinite`] if a sample or `zero` is not finite;
    /// [`Reason::NoReference`] if all samples are at zero.
    pub fn of<T: Sample>(samples: &[T], zero: f64) -> Result<Self, Reason> {
        let found = Sums::of(samples)?.statistics();
        if !zero.is_finite() {
            return Err(Reason::NotFinite);
        }
        let rms = libm::hypot(found.ac_rms, found.mean - zero);
        let peak = (found.maximum - zero).max(zero - found.minimum);
        let rectified_mean = distances(samples, zero) / samples.len() as f64;
        // As one: where the RMS is 0 so is the mean.
        if !(rms > 0.0 && rectified_mean > 0.0) {
            return Err(Reason::NoReference);
        }
        Ok(Self { crest: peak / rms, form: rms / rectified_mean, rectified_mean })
    }
}

/// Σ|x − zero|; for integers, exact up to the last step.
fn distances<T: Sample>(samples: &[T], zero: f64) -> f64 {
    let (mut above, mut below) = (Side::default(), Side::default());
    for &x in samples {
        let side = if real(x) > zero { &mut above } else { &mut below };
        side.count += 1;
        match x.number() {
            Number::Narrow(x) => side.counts += i128::from(x),
            Number::Wide(x) => side.counts += i128::from(x),
            Number::Real(x) => side.real += x,
        }
    }
    let distance = |side: Side| side.counts as f64 + side.real - side.count as f64 * zero;
    distance(above) - distance(below)
}

/// The samples on one side of zero.
#[derive(Clone, Copy, Default)]
struct Side {
    count: u64,
    counts: i128,
    real: f64,
}

/// Computes the area between a record and `zero`, the counts at 0 V, in counts times samples.
///
/// What lies below counts as negative. By the trapezoidal rule: Σx − (first + last)/2 − zero · (n −
/// 1), over n − 1 sample intervals.
///
/// ```
/// use stillwave::measure::area;
/// assert_eq!(area(&[0_u8, 2, 4, 2, 0], 0.0), Ok(8.0));
/// assert_eq!(area(&[0_u8, 2, 4, 2, 0], 2.0), Ok(0.0));
/// ```
///
/// # Errors
/// [`Reason::Empty`]; [`Reason::NotFinite`] if a sample or `zero` is not finite.
pub fn area<T: Sample>(samples: &[T], zero: f64) -> Value {
    let sums = Sums::of(samples)?;
    if !zero.is_finite() {
        return Err(Reason::NotFinite);
    }
    let (first, last) = samples.first().zip(samples.last()).ok_or(Reason::Empty)?;
    let ends = f64::midpoint(real(*first), real(*last));
    Ok(sums.sum() - ends - zero * (samples.len() - 1) as f64)
}
