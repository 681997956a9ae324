//! Conversion between counts and volts.

use crate::ConfigError;

/// The straight line between the counts of a converter and the volts at the probe's tip.
///
/// volts = (counts − zero) · `volts_per_count`. A converter of n bits with the reference voltage V
/// has steps of V / 2^n (common practice); a probe that divides by a makes them a times as large.
///
/// ```
/// use stillwave::Scale;
/// // 12 bits over 3.3 V, biased to mid-scale, behind a 10:1 probe.
/// let scale = Scale::of_converter(12, 3.3)?.with_zero(2048.0)?.with_attenuation(10.0)?;
/// assert!((scale.volts(4096.0) - 16.5).abs() < 1e-9);
/// assert!((scale.counts(-16.5) - 0.0).abs() < 1e-9);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Scale {
    /// Volts at the probe's tip for one count. It must not be 0; it is negative if the front end
    /// inverts.
    pub volts_per_count: f64,
    /// The counts at 0 V.
    pub zero: f64,
}

impl Scale {
    /// The scale of samples that are volts already.
    pub const VOLTS: Self = Self { volts_per_count: 1.0, zero: 0.0 };

    /// Makes a scale from the volts per count and the counts at 0 V.
    ///
    /// # Errors
    /// `volts_per_count` is 0 or not finite; `zero` is not finite.
    pub fn new(volts_per_count: f64, zero: f64) -> Result<Self, ConfigError> {
        if volts_per_count == 0.0 || !volts_per_count.is_finite() {
            let range = "a finite number other than 0";
            return Err(ConfigError::new("volts per count", volts_per_count, range));
        }
        if !zero.is_finite() {
            return Err(ConfigError::new("zero", zero, "a finite number"));
        }
        Ok(Self { volts_per_count, zero })
    }

    /// Makes the scale of a converter of `bits` (1 to 32) whose full scale is `reference` volts
    /// (over 0).
    ///
    /// # Errors
    /// Either is out of range.
    pub fn of_converter(bits: u32, reference: f64) -> Result<Self, ConfigError> {
        if !(1..=32).contains(&bits) {
            return Err(ConfigError::new("bits", f64::from(bits), "1 to 32"));
        }
        if !(reference > 0.0 && reference.is_finite()) {
            return Err(ConfigError::new("reference voltage", reference, "over 0 V"));
        }
        Self::new(reference / (1_u64 << bits) as f64, 0.0)
    }

    /// Returns the same scale with other counts at 0 V: the bias of a front end.
    ///
    /// # Errors
    /// `zero` is not finite.
    pub fn with_zero(self, zero: f64) -> Result<Self, ConfigError> {
        Self::new(self.volts_per_count, zero)
    }

    /// Returns the same scale behind a probe or divider that makes the signal `attenuation` times
    /// smaller: 1 for 1:1, 10 for 10:1, below 1 for an amplifier.
    ///
    /// # Errors
    /// `attenuation` is not over 0.
    pub fn with_attenuation(self, attenuation: f64) -> Result<Self, ConfigError> {
        if !(attenuation > 0.0 && attenuation.is_finite()) {
            return Err(ConfigError::new("attenuation", attenuation, "over 0"));
        }
        Self::new(self.volts_per_count * attenuation, self.zero)
    }

    /// Returns the same scale for samples that are `gain` times as large: sums, or filtered samples
    /// that have gained bits.
    ///
    /// # Errors
    /// `gain` is 0 or not finite.
    pub fn amplified(self, gain: f64) -> Result<Self, ConfigError> {
        if gain == 0.0 || !gain.is_finite() {
            return Err(ConfigError::new("gain", gain, "a finite number other than 0"));
        }
        Self::new(self.volts_per_count / gain, self.zero * gain)
    }

    /// Converts counts to volts.
    #[inline]
    pub fn volts(self, counts: f64) -> f64 {
        (counts - self.zero) * self.volts_per_count
    }

    /// Converts volts to counts, with their fraction.
    #[inline]
    pub fn counts(self, volts: f64) -> f64 {
        volts / self.volts_per_count + self.zero
    }

    /// Converts a voltage difference to counts, for example a hysteresis or an amplitude.
    #[inline]
    pub fn count_difference(self, volts: f64) -> f64 {
        volts / libm::fabs(self.volts_per_count)
    }
}
