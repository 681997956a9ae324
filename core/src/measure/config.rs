//! The configuration of measurements.

use super::{LevelMethod, StateLevels};
use crate::ConfigError;

/// Three reference levels, as fractions of the amplitude above the low state.
///
/// A reference level of x % is low + x/100 · amplitude (IEEE Std 181-2011, from memory).
///
/// The fractions must be in the order 0 < low < mid < high < 1.
///
/// ```
/// use stillwave::measure::{Config, Meter, References};
/// let references = References { low: 0.2, mid: 0.5, high: 0.8 };
/// let meter = Meter::new(Config { references, ..Config::default() })?;
/// let ramps: Vec<u8> = (0..200).map(|i| (i % 100_i32 - 50).abs().clamp(10, 40) as u8 * 2).collect();
/// let found = meter.measure(&ramps);
/// assert_eq!((found.low_reference, found.high_reference), (Ok(32.0), Ok(68.0)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct References {
    /// Where rising transitions begin and falling transitions end.
    pub low: f64,
    /// Where periods and pulse widths are measured.
    pub mid: f64,
    /// Where rising transitions end and falling transitions begin.
    pub high: f64,
}

impl Default for References {
    /// References at 10, 50 and 90 %.
    fn default() -> Self {
        Self { low: 0.1, mid: 0.5, high: 0.9 }
    }
}

/// The settings for measuring a record.
///
/// ```
/// use stillwave::measure::{Config, Meter, References};
/// let references = References { low: 0.2, mid: 0.5, high: 0.8 };
/// // A converter of 12 bits: what it says at its end codes may be more in truth.
/// let config = Config { references, end_codes: Some((0.0, 4095.0)), ..Config::default() };
/// let meter = Meter::new(config)?;
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Config {
    /// The reference levels: 0 < low < mid < high < 1.
    pub references: References,
    /// How far the signal must go beyond the middle reference, to either side, to count as having
    /// passed it. It is a fraction of the amplitude, from 0 to less than the distance to the other
    /// references. Noise of less than twice this from peak to peak makes no false transitions. This
    /// is the minimum: [`LevelMethod::Rest`] uses more if it finds more noise.
    pub hysteresis: f64,
    /// The method that finds the state levels.
    pub method: LevelMethod,
    /// The state levels, if known; in counts, low < high.
    pub levels: Option<StateLevels>,
    /// How close to the final level a transition counts as settled, to either side: a fraction of
    /// the amplitude, over 0 and under 1.
    pub settling: f64,
    /// The converter's lowest and highest code. Samples at or beyond them are clipped.
    pub end_codes: Option<(f64, f64)>,
}

impl Default for Config {
    /// References at 10, 50 and 90 %, hysteresis 10 % to either side, levels where the signal
    /// rests, settled within 2 %, no end codes.
    fn default() -> Self {
        Self {
            references: References::default(),
            hysteresis: 0.1,
            method: LevelMethod::Rest,
            levels: None,
            settling: 0.02,
            end_codes: None,
        }
    }
}

impl Config {
    /// Returns the configuration unchanged if its values are in range.
    ///
    /// # Errors
    /// References that are not in order within 0 and 1; a hysteresis that reaches them; levels or
    /// end codes that are not finite or not in order; a `settling` that is not over 0 and under 1.
    pub fn validated(self) -> Result<Self, ConfigError> {
        let References { low, mid, high } = self.references;
        if !(low > 0.0 && low < 1.0) {
            return Err(ConfigError::new("low reference", low, "over 0 and under 1"));
        }
        if !(mid > low && mid < high) {
            return Err(ConfigError::new("mid reference", mid, "between low and high"));
        }
        if high >= 1.0 {
            return Err(ConfigError::new("high reference", high, "over mid and under 1"));
        }
        if !(self.hysteresis >= 0.0 && self.hysteresis < (mid - low).min(high - mid)) {
            let range = "0 or more, and less than from mid to low or high reference";
            return Err(ConfigError::new("hysteresis", self.hysteresis, range));
        }
        if let Some(StateLevels { low, high }) = self.levels
            && !(low < high && (high - low).is_finite())
        {
            return Err(ConfigError::new("high level", high, "over the low level"));
        }
        if !(self.settling > 0.0 && self.settling < 1.0) {
            return Err(ConfigError::new("settling", self.settling, "over 0 and under 1"));
        }
        if let Some((lowest, highest)) = self.end_codes
            && !(lowest < highest && lowest.is_finite() && highest.is_finite())
        {
            return Err(ConfigError::new("highest code", highest, "over the lowest code"));
        }
        Ok(self)
    }
}
