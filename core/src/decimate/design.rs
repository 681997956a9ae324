//! Design of the weights for a [`Fir`](super::Fir).

use core::f64::consts::PI;

use crate::ConfigError;

/// A margin in dB, because Kaiser's formulas are approximate: with it, the stated values hold.
const MARGIN: f64 = 5.0;

/// A low-pass filter by a windowed sin(x)/x, designed for a stated ripple and attenuation.
///
/// The window is Kaiser's, with his formulas for its shape and length (Kaiser 1974; from memory;
/// the weights are those of `scipy.signal.firwin`). The stop band is down by the attenuation. The
/// pass band, which is 1 at 0 Hz, ripples by no more than twice what the stop band lets through: 60
/// dB is 0.2 % or 0.02 dB.
///
/// Weights in Q15 are rounded, which lets some more through: 60 dB of attenuation is their limit;
/// `f32` weights reach 110 dB.
///
/// ```
/// use stillwave::decimate::{LowPass, magnitude};
/// // For one of 8 samples: passes to 0.8 of half the new rate, stops from 1.2 of it on.
/// let low_pass = LowPass::for_step(8, 60.0)?;
/// let mut taps = [0.0_f32; 200];
/// let taps = low_pass.fill(&mut taps)?;
/// assert_eq!(taps.len(), 161);
/// assert!((magnitude(taps, 0.8 / 16.0) - 1.0).abs() < 0.002);
/// assert!(magnitude(taps, 1.2 / 16.0) < 0.001);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LowPass {
    /// The end of the pass band, in parts of the rate.
    pub pass: f64,
    /// The beginning of the stop band, in parts of the rate.
    pub stop: f64,
    /// How far the stop band is down, in dB.
    pub attenuation: f64,
}

impl LowPass {
    /// Makes a low-pass filter that keeps what is below `pass` and attenuates what is above `stop`
    /// by `attenuation` dB. Both frequencies are in parts of the rate.
    ///
    /// # Errors
    /// Not 0 < `pass` < `stop` ≤ 0.5; an attenuation that is not 30 to 110 dB.
    pub fn new(pass: f64, stop: f64, attenuation: f64) -> Result<Self, ConfigError> {
        Self { pass, stop, attenuation }.validated()
    }

    /// Makes the usual filter for keeping one of `step` samples: flat to 0.8 of half the new rate.
    /// What it lets fold back, from 1.2 on, lands above that.
    ///
    /// # Errors
    /// The step is 0 or 1; the attenuation is out of range.
    pub fn for_step(step: u32, attenuation: f64) -> Result<Self, ConfigError> {
        if step < 2 {
            return Err(ConfigError::new("step", f64::from(step), "2 or more"));
        }
        let half = 0.5 / f64::from(step);
        Self::new(0.8 * half, (1.2 * half).min(0.5), attenuation)
    }

    /// Makes a half-band filter, for keeping one of two samples: every second weight except the
    /// middle is 0.
    ///
    /// # Errors
    /// Not 0 < `pass` < 0.25; an attenuation out of range.
    pub fn half_band(pass: f64, attenuation: f64) -> Result<Self, ConfigError> {
        Self::new(pass, 0.5 - pass, attenuation)
    }

    /// Returns the filter unchanged if its values are in range.
    ///
    /// # Errors
    /// The errors of [`new`](Self::new).
    pub fn validated(self) -> Result<Self, ConfigError> {
        if !(self.stop > 0.0 && self.stop <= 0.5) {
            return Err(ConfigError::new("stop", self.stop, "over 0 and at most half the rate"));
        }
        if !(self.pass > 0.0 && self.pass < self.stop) {
            return Err(ConfigError::new("pass", self.pass, "over 0 and below the stop band"));
        }
        if !(30.0..=110.0).contains(&self.attenuation) {
            return Err(ConfigError::new("attenuation", self.attenuation, "30 to 110 dB"));
        }
        Ok(self)
    }

    /// The largest ripple of the pass band, in dB up or down.
    pub fn ripple(self) -> f64 {
        20.0 * libm::log10(1.0 + 2.0 * libm::pow(10.0, -self.attenuation / 20.0))
    }

    /// The number of weights: an odd number, so that one is in the middle.
    pub fn taps(self) -> usize {
        let width = 2.285 * 2.0 * PI * (self.stop - self.pass);
        // The cast saturates.
        let count = libm::ceil((self.attenuation + MARGIN - 7.95) / width + 1.0) as usize;
        count.max(3) | 1
    }

    /// Writes the weights to the beginning of `room` and returns them; their sum is 1.
    ///
    /// # Errors
    /// Too little room; the errors of [`new`](Self::new).
    pub fn fill(self, room: &mut [f32]) -> Result<&mut [f32], ConfigError> {
        self.make(room, |weight| weight as f32)
    }

    /// Does the same as [`fill`](Self::fill), in Q15; the sum is 32768.
    ///
    /// # Errors
    /// The errors of [`fill`](Self::fill).
    pub fn fill_q15(self, room: &mut [i16]) -> Result<&mut [i16], ConfigError> {
        let taps = self.make(room, |weight| libm::round(weight * 32768.0) as i16)?;
        let total: i32 = taps.iter().map(|&tap| i32::from(tap)).sum();
        let middle = taps.len() / 2;
        if let Some(tap) = taps.get_mut(middle) {
            // What rounding took or gave, where it matters least.
            *tap = tap.saturating_add((32768 - total) as i16);
        }
        Ok(taps)
    }

    fn make<W>(self, room: &mut [W], of: impl Fn(f64) -> W) -> Result<&mut [W], ConfigError> {
        self.validated()?;
        let (count, length) = (self.taps(), room.len());
        let Some(taps) = room.get_mut(..count) else {
            return Err(ConfigError::new("room for taps", length as f64, "as taps() says"));
        };
        let middle = (count / 2) as f64;
        let cutoff = f64::midpoint(self.pass, self.stop);
        let shape = shape(self.attenuation + MARGIN);
        let weight = |i: usize| {
            let x = i as f64 - middle;
            sinc(2.0 * cutoff * x) * kaiser(x / middle, shape)
        };
        let total: f64 = (0..count).map(weight).sum();
        taps.iter_mut().enumerate().for_each(|(i, tap)| *tap = of(weight(i) / total));
        Ok(taps)
    }
}

/// The magnitude of a filter's response at a frequency, in parts of the rate (0 to 0.5).
///
/// 1 means that the signal passes unchanged.
///
/// ```
/// use stillwave::decimate::magnitude;
/// // The mean of two samples: 1 at 0, nothing at half the rate.
/// assert_eq!(magnitude(&[0.5, 0.5], 0.0), 1.0);
/// assert!(magnitude(&[0.5, 0.5], 0.5) < 1e-12);
/// ```
pub fn magnitude(taps: &[f32], frequency: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (i, &tap) in taps.iter().enumerate() {
        let angle = 2.0 * PI * frequency * i as f64;
        re += f64::from(tap) * libm::cos(angle);
        im += f64::from(tap) * libm::sin(angle);
    }
    libm::hypot(re, im)
}

/// sin(πx)/(πx): 0 at all whole numbers except 0.
pub(super) fn sinc(x: f64) -> f64 {
    if x == 0.0 {
        1.0
    } else if libm::trunc(x) == x {
        0.0
    } else {
        libm::sin(PI * x) / (PI * x)
    }
}

/// The shape of Kaiser's window for an attenuation in dB.
pub(super) fn shape(attenuation: f64) -> f64 {
    let over = (attenuation - 21.0).max(0.0);
    if attenuation > 50.0 {
        0.1102 * (attenuation - 8.7)
    } else {
        0.5842 * libm::pow(over, 0.4) + 0.07886 * over
    }
}

/// Kaiser's window from −1 to 1.
pub(super) fn kaiser(x: f64, shape: f64) -> f64 {
    bessel(shape * libm::sqrt((1.0 - x * x).max(0.0))) / bessel(shape)
}

/// The modified Bessel function of the first kind and order 0, by its series.
fn bessel(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let (mut sum, mut term, mut k) = (1.0, 1.0, 1.0);
    while term > sum * 1e-17 && k < 100.0 {
        term *= quarter / (k * k);
        sum += term;
        k += 1.0;
    }
    sum
}
