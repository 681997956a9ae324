//! Levels, as comparators use them.

use crate::{ConfigError, Sample};

/// A level with hysteresis on one channel, in the samples' own unit.
///
/// ```
/// use stillwave::Level;
/// let level = Level::<u16>::new(2048, 40)?.on_channel(1);
/// assert_eq!((level.level, level.hysteresis, level.channel), (2048, 40, 1));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(
    feature = "serde",
    serde(bound(
        serialize = "T::Wide: serde::Serialize",
        deserialize = "T::Wide: serde::Deserialize<'de>"
    ))
)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Level<T: Sample> {
    /// The level. It may be any number; a level that no sample reaches is never crossed.
    pub level: T::Wide,
    /// How far the signal must go back beyond the level before it can cross it again: 0 or more.
    pub hysteresis: T::Wide,
    /// The channel, counted from 0.
    pub channel: u8,
}

impl<T: Sample> Level<T> {
    /// Makes a level on channel 0.
    ///
    /// # Errors
    /// `level` is not finite; `hysteresis` is not finite or is below 0.
    pub fn new(level: T::Wide, hysteresis: T::Wide) -> Result<Self, ConfigError> {
        Self { level, hysteresis, channel: 0 }.validated()
    }

    /// The level of a channel that is one bit of a word ([`Input::Bit`](crate::Input::Bit)):
    /// between 0 and 1.
    pub fn of_bit() -> Self {
        Self { level: T::BETWEEN_BITS, hysteresis: T::ZERO, channel: 0 }
    }

    /// Returns the same level on another channel, counted from 0.
    #[must_use]
    pub fn on_channel(self, channel: u8) -> Self {
        Self { channel, ..self }
    }

    /// Returns the same level with a larger hysteresis, so that noise triggers less.
    ///
    /// It is twice the old one, and at least a 32nd of `full_scale`, the range of the converter in
    /// the samples' unit. If `full_scale` is not a number or is below 0, there is no minimum.
    /// (Common practice; the factors are our own.)
    ///
    /// ```
    /// use stillwave::Level;
    /// let level = Level::<u16>::new(2048, 10)?;
    /// assert_eq!(level.noise_rejecting(4096.0).hysteresis, 128);
    /// assert_eq!(level.noise_rejecting(0.0).hysteresis, 20);
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    #[must_use]
    pub fn noise_rejecting(self, full_scale: f64) -> Self {
        let twice = T::saturating_add(self.hysteresis, self.hysteresis);
        match T::wide_from_f64(full_scale / 32.0) {
            Some(part) if part > twice => Self { hysteresis: part, ..self },
            _ => Self { hysteresis: twice, ..self },
        }
    }

    /// Returns the level unchanged if its values are in range.
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn validated(self) -> Result<Self, ConfigError> {
        if !T::is_level(self.level) {
            return Err(ConfigError::new("level", T::wide_to_f64(self.level), "a finite number"));
        }
        if !(T::is_level(self.hysteresis) && self.hysteresis >= T::ZERO) {
            let value = T::wide_to_f64(self.hysteresis);
            return Err(ConfigError::new("hysteresis", value, "0 or more"));
        }
        Ok(self)
    }
}
