//! The configuration of everything that has two levels.

use super::Level;
use crate::{ConfigError, Sample};

/// A lower and an upper level with a common hysteresis on one channel, in the samples' own unit.
///
/// ```
/// use stillwave::Band;
/// let band = Band::<u16>::new(410, 3686, 40)?.on_channel(1);
/// assert_eq!((band.low, band.high, band.hysteresis, band.channel), (410, 3686, 40, 1));
/// let error = Band::<u16>::new(2000, 1000, 0).unwrap_err();
/// assert_eq!(error.to_string(), "high is 1000: it must be over low");
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(
    feature = "serde",
    serde(bound(
        serialize = "T::Wide: serde::Serialize",
        deserialize = "T::Wide: serde::Deserialize<'de>"
    ))
)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Band<T: Sample> {
    /// The lower level. It may be any number; a level that no sample reaches is never crossed.
    pub low: T::Wide,
    /// The upper level, which must be over the lower one.
    pub high: T::Wide,
    /// How far the signal must go back beyond a level before it can cross it again: 0 or more.
    pub hysteresis: T::Wide,
    /// The channel, counted from 0.
    pub channel: u8,
}

impl<T: Sample> Band<T> {
    /// Makes a band on channel 0.
    ///
    /// # Errors
    /// A level or hysteresis that is not finite; `high` at or below `low`; `hysteresis` below 0.
    pub fn new(low: T::Wide, high: T::Wide, hysteresis: T::Wide) -> Result<Self, ConfigError> {
        Self { low, high, hysteresis, channel: 0 }.validated()
    }

    /// The same band on another channel, counted from 0.
    #[must_use]
    pub fn on_channel(self, channel: u8) -> Self {
        Self { channel, ..self }
    }

    /// Does the same as [`Level::noise_rejecting`], to the band's common hysteresis.
    #[must_use]
    pub fn noise_rejecting(self, full_scale: f64) -> Self {
        Self { hysteresis: self.lower().noise_rejecting(full_scale).hysteresis, ..self }
    }

    /// Returns the band unchanged if its values are in range.
    ///
    /// # Errors
    /// The errors of [`Band::new`].
    pub fn validated(self) -> Result<Self, ConfigError> {
        for (name, level) in [("low", self.low), ("high", self.high)] {
            if !T::is_level(level) {
                return Err(ConfigError::new(name, T::wide_to_f64(level), "a finite number"));
            }
        }
        if self.high <= self.low {
            return Err(ConfigError::new("high", T::wide_to_f64(self.high), "over low"));
        }
        self.lower().validated()?;
        Ok(self)
    }

    /// The lower level alone.
    pub fn lower(self) -> Level<T> {
        let Self { low, hysteresis, channel, .. } = self;
        Level { level: low, hysteresis, channel }
    }

    /// The upper level alone.
    pub fn upper(self) -> Level<T> {
        let Self { high, hysteresis, channel, .. } = self;
        Level { level: high, hysteresis, channel }
    }
}
