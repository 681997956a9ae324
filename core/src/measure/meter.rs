//! All basic measurements of a record at once.

use super::number::real;
use super::statistics::Sums;
use super::transition::Transitions;
use super::{Config, Measurements, Reason, StateLevels, Statistics, Timing};
use crate::{ConfigError, Sample};

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

/// Whether a record, or a level, is free of the lowest and of the highest code.
pub(super) type Clipped = (Result<(), Reason>, Result<(), Reason>);

/// What a record is, apart from its transitions.
struct Survey {
    statistics: Statistics,
    clipped: Clipped,
    levels: Result<StateLevels, Reason>,
}

/// Measures records as configured.
///
/// Four passes over a record: sums, histogram, means of the two states, transitions.
///
/// What is clipped has no value; periods remain:
///
/// ```
/// use stillwave::measure::{Config, Meter, Reason};
/// // What reaches an end code of the converter may have been beyond.
/// let meter = Meter::new(Config { end_codes: Some((0.0, 255.0)), ..Config::default() })?;
/// let clipped: Vec<u8> = (0..100).map(|i| if i % 20 < 10 { 255 } else { 50 }).collect();
/// let found = meter.measure(&clipped);
/// assert_eq!((found.maximum, found.timing.period), (Err(Reason::Clipped), Ok(20.0)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
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
        let survey = self.survey(samples);
        self.complete(samples, &survey)
    }

    /// All that does not depend on transitions. In a frame of its own, as are those: the two need
    /// not be on the stack together.
    #[inline(never)]
    fn survey<T: Sample>(&self, samples: &[T]) -> Result<Survey, Reason> {
        let sums = Sums::of(samples)?;
        let clipped = self.clipped(&sums);
        let levels = self.levels(samples, &sums);
        Ok(Survey { statistics: sums.statistics(), clipped, levels })
    }

    #[inline(never)]
    fn complete<T: Sample>(&self, samples: &[T], survey: &Result<Survey, Reason>) -> Measurements {
        let len = samples.len() as u64;
        let survey = match survey {
            Ok(survey) => survey,
            Err(reason) => return Measurements::none(len, *reason),
        };
        // Levels that were given are as they are, whatever the samples.
        let given = self.config.levels.is_some();
        let clipped = if given { (Ok(()), Ok(())) } else { survey.clipped };
        let transitions =
            survey.levels.and_then(|levels| self.transitions_between(samples, levels));
        let timing = match (transitions, clipped.0.and(clipped.1)) {
            (Err(reason), _) => Timing::none(reason),
            (Ok(transitions), Ok(())) => Timing::of(transitions),
            (Ok(transitions), Err(reason)) => Timing::of(transitions).of_periods_alone(reason),
        };
        let statistics = (&survey.statistics, survey.clipped);
        let levels = (survey.levels, clipped);
        Measurements::found(len, statistics, levels, self.config.references, timing)
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
            None => StateLevels::between(self.config.method, samples, &sums.extremes),
        }
    }

    /// Whether a record is free of the lowest and of the highest code.
    fn clipped<T: Sample>(&self, sums: &Sums<T>) -> Clipped {
        let Some((lowest, highest)) = self.config.end_codes else {
            return (Ok(()), Ok(()));
        };
        let clipped = |clipped| if clipped { Err(Reason::Clipped) } else { Ok(()) };
        (
            clipped(real(sums.extremes.minimum) <= lowest),
            clipped(real(sums.extremes.maximum) >= highest),
        )
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
