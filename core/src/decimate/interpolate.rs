//! Interpolation between samples, for pictures.

use super::design::{kaiser, shape, sinc};
use crate::{ConfigError, Sample};

/// The value on a straight line between two samples, at `at` in samples from the first; `None`
/// outside the samples.
///
/// ```
/// use stillwave::decimate::linear;
/// assert_eq!(linear(&[10_u8, 20], 0.25), Some(12.5));
/// assert_eq!(linear(&[10_u8, 20], 1.1), None);
/// ```
pub fn linear<T: Sample>(samples: &[T], at: f64) -> Option<f64> {
    let (index, part) = place(samples, at)?;
    let value = |index: usize| samples.get(index).map(|&x| T::wide_to_f64(x.widen()));
    let this = value(index)?;
    if part == 0.0 {
        return Some(this);
    }
    Some(this + (value(index.saturating_add(1))? - this) * part)
}

/// Interpolation by sin(x)/x: the waveform that the samples stand for, if it has nothing above half
/// the rate.
///
/// It is cut by Kaiser's window to `lobes` samples on either side. With 8, sines are right to 0.6 %
/// of their amplitude up to 0.4 of the rate. The price is that an edge faster than the samples
/// rings in the picture, although it rang in no circuit (common practice). Before the first and
/// after the last sample, these are taken to go on.
///
/// ```
/// use stillwave::decimate::SinX;
/// let sine = |t: f64| 1000.0 * (t * 2.0).sin();
/// let samples: Vec<f32> = (0..64).map(|i| sine(f64::from(i)) as f32).collect();
/// let between = SinX::new(8)?.value(&samples, 31.3).unwrap();
/// assert!((between - sine(31.3)).abs() < 2.0);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct SinX {
    lobes: u32,
}

impl SinX {
    /// Makes an interpolation over `lobes` samples (2 to 64) on either side.
    ///
    /// # Errors
    /// `lobes` is out of range.
    pub fn new(lobes: u32) -> Result<Self, ConfigError> {
        if (2..=64).contains(&lobes) {
            Ok(Self { lobes })
        } else {
            Err(ConfigError::new("lobes", f64::from(lobes), "2 to 64"))
        }
    }

    /// The value at `at`, in samples from the first; `None` outside the samples. It is not finite
    /// if a nearby sample is not.
    pub fn value<T: Sample>(self, samples: &[T], at: f64) -> Option<f64> {
        let (index, part) = place(samples, at)?;
        let value = |index: usize| samples.get(index).map(|&x| T::wide_to_f64(x.widen()));
        if part == 0.0 {
            return value(index);
        }
        let last = samples.len().saturating_sub(1);
        // One that was deserialised may be any number.
        let reach = i64::from(self.lobes.clamp(2, 64));
        let window = shape(50.0);
        let (mut sum, mut weights) = (0.0, 0.0);
        for k in 1 - reach..=reach {
            let x = part - k as f64;
            let weight = sinc(x) * kaiser(x / reach as f64, window);
            let near = index.saturating_add_signed(k as isize).min(last);
            sum += weight * value(near)?;
            weights += weight;
        }
        Some(sum / weights)
    }
}

/// The sample at or before `at`, and the distance from it to `at`.
fn place<T>(samples: &[T], at: f64) -> Option<(usize, f64)> {
    let last = samples.len().checked_sub(1)?;
    if !(at >= 0.0 && at <= last as f64) {
        return None;
    }
    let index = at as usize;
    Some((index, at - index as f64))
}
