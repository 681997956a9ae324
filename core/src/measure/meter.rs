//! All basic measurements of a record at once.

use super::number::real;
use super::statistics::Sums;
use super::transition::Transitions;
use super::{Config, Reason, StateLevels, Statistics, Timing, Value};
use crate::{ConfigError, Sample, Scale};

/// What a record measures: in counts and samples, or in volts after [`scaled`](Self::scaled) and
/// in seconds after [`timed`](Self::timed).
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
    /// Maximum less minimum.
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
    /// High less low.
    pub amplitude: Value,
    /// The reference level where transitions up begin: 10 % unless configured otherwise.
    pub low_reference: Value,
    /// The reference level for periods and widths: 50 % unless configured otherwise.
    pub mid_reference: Value,
    /// The reference level where transitions up end: 90 % unless configured otherwise.
    pub high_reference: Value,
    /// Times.
    pub timing: Timing,
}

impl Measurements {
    /// The same in volts at the probe's tip, from counts.
    ///
    /// The RMS about 0 V is √(AC RMS² + (mean − zero)²) · |volts per count|. Where the front end
    /// inverts, high and low, rise and fall, positive and negative change places.
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
            (Ok(ac), Ok(mean)) => Ok(libm::hypot(ac, mean - scale.zero) * size),
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
            ..self
        };
        if scale.volts_per_count < 0.0 { upright.inverted() } else { upright }
    }

    /// Up and down change places.
    fn inverted(self) -> Self {
        Self {
            minimum: self.maximum,
            maximum: self.minimum,
            low: self.high,
            high: self.low,
            low_reference: self.high_reference,
            high_reference: self.low_reference,
            timing: Timing {
                duty: self.timing.duty.map(|duty| 1.0 - duty),
                positive_width: self.timing.negative_width,
                negative_width: self.timing.positive_width,
                rise_time: self.timing.fall_time,
                fall_time: self.timing.rise_time,
                ..self.timing
            },
            ..self
        }
    }

    /// The same with times in seconds and the frequency in hertz, for a rate in samples a second.
    ///
    /// # Errors
    /// A rate that is not a finite number over 0.
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

    /// No values, for one reason.
    fn none(samples: u64, reason: Reason) -> Self {
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
        }
    }
}

/// All basic measurements of a record with the default [`Config`].
///
/// ```
/// use stillwave::measure::measure;
/// let square: Vec<u16> = (0..1000).map(|i| if i % 100 < 30 { 3000 } else { 500 }).collect();
/// let found = measure(&square);
/// assert_eq!((found.low, found.high), (Ok(500.0), Ok(3000.0)));
/// assert_eq!((found.timing.period, found.timing.duty), (Ok(100.0), Ok(0.3)));
/// ```
pub fn measure<T: Sample>(samples: &[T]) -> Measurements {
    Meter::default().measure(samples)
}

/// Measures records as configured.
///
/// Four passes over a record: sums, histogram, means of the two states, transitions.
#[derive(Clone, Copy, Debug, Default)]
pub struct Meter {
    config: Config,
}

impl Meter {
    /// A meter of that configuration.
    ///
    /// # Errors
    /// As [`Config::validated`].
    pub fn new(config: Config) -> Result<Self, ConfigError> {
        Ok(Self { config: config.validated()? })
    }

    /// All basic measurements of a record.
    ///
    /// Where samples are clipped, what depends on the voltage beyond has no value. Periods and the
    /// frequency remain: they hardly depend on the level they are taken at. So do all times where
    /// the state levels were given.
    pub fn measure<T: Sample>(&self, samples: &[T]) -> Measurements {
        let len = samples.len() as u64;
        let sums = match Sums::of(samples) {
            Ok(sums) => sums,
            Err(reason) => return Measurements::none(len, reason),
        };
        let Statistics { minimum, maximum, mean, rms, ac_rms } = sums.statistics();
        let clipped = self.clipped(&sums);
        let both = clipped.0.and(clipped.1);
        let levels = self.levels(samples, &sums);
        let given = self.config.levels.is_some();
        let (low_end, high_end, both_ends) =
            if given { (Ok(()), Ok(()), Ok(())) } else { (clipped.0, clipped.1, both) };
        let references = levels.map(|levels| levels.references(self.config.references));
        let transitions = levels.and_then(|levels| self.transitions_between(samples, levels));
        let timing = match (transitions.map(Timing::of), both_ends) {
            (Err(reason), _) => Timing::none(reason),
            (Ok(timing), Ok(())) => timing,
            (Ok(timing), Err(reason)) => Timing {
                cycles: timing.cycles,
                period: timing.period,
                frequency: timing.frequency,
                ..Timing::none(reason)
            },
        };
        Measurements {
            samples: len,
            minimum: clipped.0.map(|()| minimum),
            maximum: clipped.1.map(|()| maximum),
            peak_to_peak: both.map(|()| maximum - minimum),
            mean: both.map(|()| mean),
            rms: both.map(|()| rms),
            ac_rms: both.map(|()| ac_rms),
            low: low_end.and(levels.map(|levels| levels.low)),
            high: high_end.and(levels.map(|levels| levels.high)),
            amplitude: both_ends.and(levels.map(StateLevels::amplitude)),
            low_reference: both_ends.and(references.map(|references| references.low)),
            mid_reference: both_ends.and(references.map(|references| references.mid)),
            high_reference: both_ends.and(references.map(|references| references.high)),
            timing,
        }
    }

    /// The transitions of a record, one by one.
    ///
    /// # Errors
    /// As [`StateLevels::of`]; [`Reason::NoTransition`] where no sample can reach a reference.
    ///
    /// ```
    /// use stillwave::{Slope, measure::Meter};
    /// let trapezium: [u8; 10] = [20, 20, 20, 40, 80, 120, 120, 120, 100, 40];
    /// let found = Meter::default().transitions(&trapezium)?.next().unwrap();
    /// assert_eq!((found.slope, found.mid.samples()), (Slope::Rising, 3.75));
    /// # Ok::<(), stillwave::measure::Reason>(())
    /// ```
    pub fn transitions<'a, T: Sample>(
        &self,
        samples: &'a [T],
    ) -> Result<Transitions<'a, T>, Reason> {
        let levels = self.levels(samples, &Sums::of(samples)?)?;
        self.transitions_between(samples, levels)
    }

    /// The configuration.
    pub fn config(&self) -> &Config {
        &self.config
    }

    /// The state levels of a record, where it reaches no end code.
    pub(super) fn unclipped_levels<T: Sample>(&self, samples: &[T]) -> Result<StateLevels, Reason> {
        let sums = Sums::of(samples)?;
        let (below, above) = self.clipped(&sums);
        below.and(above)?;
        self.levels(samples, &sums)
    }

    /// The state levels of a record whose extremes are known.
    fn levels<T: Sample>(&self, samples: &[T], sums: &Sums<T>) -> Result<StateLevels, Reason> {
        match self.config.levels {
            Some(levels) => Ok(levels),
            None => StateLevels::between(self.config.method, samples, sums.minimum, sums.maximum),
        }
    }

    /// Whether a record is free of the lowest and of the highest code.
    fn clipped<T: Sample>(&self, sums: &Sums<T>) -> (Result<(), Reason>, Result<(), Reason>) {
        let Some((lowest, highest)) = self.config.end_codes else {
            return (Ok(()), Ok(()));
        };
        let clipped = |clipped| if clipped { Err(Reason::Clipped) } else { Ok(()) };
        (clipped(real(sums.minimum) <= lowest), clipped(real(sums.maximum) >= highest))
    }

    pub(super) fn transitions_between<'a, T: Sample>(
        &self,
        samples: &'a [T],
        levels: StateLevels,
    ) -> Result<Transitions<'a, T>, Reason> {
        let references = levels.references(self.config.references);
        let hysteresis = self.config.hysteresis * levels.amplitude();
        Transitions::new(samples, references, hysteresis).ok_or(Reason::NoTransition)
    }
}
