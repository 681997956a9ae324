//! The measured values of a record, in counts or in volts.

use super::meter::Clipped;
use super::statistics::rms_in_volts;
use super::{Doubts, Measure, Reason, References, StateLevels, Statistics, Timing, Value};
use crate::{ConfigError, Scale};

/// The value of a [`Measure`], among fields that are named like those of [`Measurements`].
macro_rules! by_name {
    ($of:ident, $measure:ident) => {
        match $measure {
            Measure::Minimum => $of.minimum,
            Measure::Maximum => $of.maximum,
            Measure::PeakToPeak => $of.peak_to_peak,
            Measure::Mean => $of.mean,
            Measure::Rms => $of.rms,
            Measure::AcRms => $of.ac_rms,
            Measure::Low => $of.low,
            Measure::High => $of.high,
            Measure::Amplitude => $of.amplitude,
            Measure::LowReference => $of.low_reference,
            Measure::MidReference => $of.mid_reference,
            Measure::HighReference => $of.high_reference,
            Measure::Period => $of.timing.period,
            Measure::Frequency => $of.timing.frequency,
            Measure::Duty => $of.timing.duty,
            Measure::PositiveWidth => $of.timing.positive_width,
            Measure::NegativeWidth => $of.timing.negative_width,
            Measure::RiseTime => $of.timing.rise_time,
            Measure::FallTime => $of.timing.fall_time,
        }
    };
}
pub(super) use by_name;

/// The measured values of a record: in counts and samples, or in volts after
/// [`scaled`](Self::scaled) and in seconds after [`timed`](Self::timed).
///
/// Conversion of counts to volts and samples to seconds:
///
/// ```
/// use stillwave::{Scale, measure::measure};
/// let square: Vec<u16> = (0..1000).map(|i| if i % 100 < 30 { 3000 } else { 500 }).collect();
/// // 1 mV a count, 1 MS/s.
/// let found = measure(&square).scaled(Scale::new(0.001, 0.0)?).timed(1e6)?;
/// assert_eq!((found.amplitude, found.timing.frequency), (Ok(2.5), Ok(10e3)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Measurements {
    /// The number of samples in the record.
    pub samples: u64,
    /// The smallest sample.
    pub minimum: Value,
    /// The largest sample.
    pub maximum: Value,
    /// The maximum minus the minimum.
    pub peak_to_peak: Value,
    /// The mean of all samples: the DC value.
    pub mean: Value,
    /// The root of the mean square about 0 (the count 0, or 0 V).
    pub rms: Value,
    /// The root of the mean square about the mean.
    pub ac_rms: Value,
    /// The level of the low state.
    pub low: Value,
    /// The level of the high state.
    pub high: Value,
    /// The high state minus the low state.
    pub amplitude: Value,
    /// The reference level where rising transitions begin: 10 % unless configured otherwise.
    pub low_reference: Value,
    /// The reference level for periods and widths: 50 % unless configured otherwise.
    pub mid_reference: Value,
    /// The reference level where rising transitions end: 90 % unless configured otherwise.
    pub high_reference: Value,
    /// The times.
    pub timing: Timing,
    /// The reasons to doubt these values.
    #[cfg_attr(feature = "serde", serde(default))]
    pub doubts: Doubts,
}

impl Measurements {
    /// Returns one of the values by name, in its own unit.
    ///
    /// # Errors
    /// The reason why the value is missing.
    ///
    /// ```
    /// use stillwave::measure::{Measure, measure};
    /// let square: Vec<u8> = (0..100).map(|i| if i % 20 < 5 { 200 } else { 50 }).collect();
    /// let found = measure(&square);
    /// assert_eq!(found.of(Measure::Duty), found.timing.duty);
    /// ```
    pub fn of(&self, measure: Measure) -> Value {
        by_name!(self, measure)
    }

    /// Converts the values from counts to volts at the probe's tip.
    ///
    /// The RMS about 0 V is √(AC RMS² + (mean − zero)²) · |volts per count|. If the front end
    /// inverts, high and low, rise and fall, and positive and negative are swapped.
    ///
    /// ```
    /// use stillwave::{Scale, measure::measure};
    /// let square: Vec<u8> = (0..100).map(|i| if i % 20 < 10 { 138 } else { 118 }).collect();
    /// let volts = measure(&square).scaled(Scale::new(0.1, 128.0)?);
    /// assert_eq!((volts.rms, volts.mean), (Ok(1.0), Ok(0.0)));
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    #[must_use]
    pub fn scaled(self, scale: Scale) -> Self {
        let volts = |counts: Value| counts.map(|counts| scale.volts(counts));
        let size = libm::fabs(scale.volts_per_count);
        let difference = |counts: Value| counts.map(|counts| counts * size);
        let rms = match (self.ac_rms, self.mean) {
            (Ok(ac), Ok(mean)) => Ok(rms_in_volts(ac, mean, scale)),
            _ => self.rms,
        };
        let upright = Self {
            minimum: volts(self.minimum),
            maximum: volts(self.maximum),
            peak_to_peak: difference(self.peak_to_peak),
            mean: volts(self.mean),
            rms,
            ac_rms: difference(self.ac_rms),
            low: volts(self.low),
            high: volts(self.high),
            amplitude: difference(self.amplitude),
            low_reference: volts(self.low_reference),
            mid_reference: volts(self.mid_reference),
            high_reference: volts(self.high_reference),
            doubts: self.doubts.scaled(|level| scale.volts(level), scale.volts_per_count < 0.0),
            ..self
        };
        if scale.volts_per_count < 0.0 { upright.inverted() } else { upright }
    }

    /// Swaps up and down.
    fn inverted(self) -> Self {
        Self {
            minimum: self.maximum,
            maximum: self.minimum,
            low: self.high,
            high: self.low,
            low_reference: self.high_reference,
            high_reference: self.low_reference,
            timing: self.timing.inverted(),
            ..self
        }
    }

    /// Converts times to seconds and the frequency to hertz, for a rate in samples a second.
    ///
    /// # Errors
    /// The rate is not a finite number over 0.
    ///
    /// ```
    /// use stillwave::measure::measure;
    /// let square: Vec<u8> = (0..100).map(|i| if i % 20 < 5 { 200 } else { 50 }).collect();
    /// let timing = measure(&square).timed(1e6)?.timing;
    /// assert_eq!(timing.frequency, Ok(50e3));
    /// assert_eq!(timing.duty, Ok(0.25));
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    pub fn timed(self, rate: f64) -> Result<Self, ConfigError> {
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(ConfigError::new("rate", rate, "over 0"));
        }
        Ok(Self { timing: self.timing.timed(rate), ..self })
    }

    /// The values from statistics and levels, where these are not clipped.
    #[inline(never)]
    pub(super) fn found(
        samples: u64,
        (statistics, (below, above)): (&Statistics, Clipped),
        (levels, (levels_below, levels_above)): (Result<StateLevels, Reason>, Clipped),
        references: References,
        (timing, doubts): (Timing, Doubts),
    ) -> Self {
        let Statistics { minimum, maximum, mean, rms, ac_rms } = *statistics;
        let both = below.and(above);
        let levels_both = levels_below.and(levels_above);
        let references = levels_both.and(levels.map(|levels| levels.references(references)));
        Self {
            samples,
            minimum: below.map(|()| minimum),
            maximum: above.map(|()| maximum),
            peak_to_peak: both.map(|()| maximum - minimum),
            mean: both.map(|()| mean),
            rms: both.map(|()| rms),
            ac_rms: both.map(|()| ac_rms),
            low: levels_below.and(levels.map(|levels| levels.low)),
            high: levels_above.and(levels.map(|levels| levels.high)),
            amplitude: levels_both.and(levels.map(StateLevels::amplitude)),
            low_reference: references.map(|references| references.low),
            mid_reference: references.map(|references| references.mid),
            high_reference: references.map(|references| references.high),
            timing,
            doubts,
        }
    }

    /// No values, for one reason.
    pub(super) fn none(samples: u64, reason: Reason) -> Self {
        let none = Err(reason);
        Self {
            samples,
            minimum: none,
            maximum: none,
            peak_to_peak: none,
            mean: none,
            rms: none,
            ac_rms: none,
            low: none,
            high: none,
            amplitude: none,
            low_reference: none,
            mid_reference: none,
            high_reference: none,
            timing: Timing::none(reason),
            doubts: Doubts::default(),
        }
    }
}
