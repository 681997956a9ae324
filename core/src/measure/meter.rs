//! All basic measurements of a record at once.

use super::number::real;
use super::rest::Rest;
use super::statistics::Sums;
use super::timing::TimingSums;
use super::transition::{Passages, Transition, Transitions};
use super::{Config, Doubts, LevelMethod, Measurements, Reason, StateLevels, Statistics, Timing};
use crate::{ConfigError, Sample};

/// Makes all basic measurements of a record with the default [`Config`].
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

/// Whether a record, or a level, avoids the lowest and the highest code.
pub(super) type Clipped = (Result<(), Reason>, Result<(), Reason>);

/// The properties of a record, apart from its transitions.
struct Survey<T> {
    statistics: Statistics,
    clipped: Clipped,
    levels: Result<Levels<T>, Reason>,
}

/// The times of a record, and the variance of all periods over their mean squared.
struct Times {
    timing: Timing,
    varies: Option<f64>,
}

/// The state levels of a record, and what else is known of them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Levels<T> {
    pub(super) states: StateLevels,
    /// The result of [`LevelMethod::Rest`], if that was the method.
    pub(super) rest: Option<Rest<T>>,
}

impl<T> Levels<T> {
    /// Whether the signal rests nowhere, as sines do: its cycles are about equally long.
    pub(super) fn is_steady(&self) -> bool {
        self.rest.as_ref().is_some_and(|rest| !rest.low_rests && !rest.high_rests)
    }
}

/// Measures records with a configuration.
///
/// It makes four passes over a record: sums, histogram, means of the two states, transitions; more
/// if there is noise, or if samples lie apart from the others.
///
/// Clipped quantities have no value. Periods remain, and so do levels where the signal rests at an
/// end code between fast edges, as logic does:
///
/// ```
/// use stillwave::measure::{Config, Meter, Reason};
/// // What reaches an end code of the converter may have been beyond.
/// let meter = Meter::new(Config { end_codes: Some((0.0, 255.0)), ..Config::default() })?;
/// let clipped: Vec<u8> = (0..100).map(|i| if i % 20 < 10 { 255 } else { 50 }).collect();
/// let found = meter.measure(&clipped);
/// assert_eq!((found.maximum, found.timing.period), (Err(Reason::Clipped), Ok(20.0)));
/// assert_eq!((found.high, found.timing.duty), (Ok(255.0), Ok(0.5)));
/// assert!(found.doubts.high_at_end_code);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default)]
pub struct Meter {
    config: Config,
}

impl Meter {
    /// Makes a meter with this configuration.
    ///
    /// # Errors
    /// The errors of [`Config::validated`].
    pub fn new(config: Config) -> Result<Self, ConfigError> {
        Ok(Self { config: config.validated()? })
    }

    /// Makes all basic measurements of a record.
    ///
    /// If samples are clipped, the values that depend on the voltage beyond are missing. Periods
    /// and the frequency remain, because they hardly depend on the level they are taken at. All
    /// times remain if the state levels were given. A state at an end code has a level, and widths
    /// and duty, if both transitions take at most 2 % of the period or are too fast to see; the
    /// error is then at most half of that. It is reported in the [`Doubts`].
    pub fn measure<T: Sample>(&self, samples: &[T]) -> Measurements {
        let survey = self.survey(samples);
        // Each in a frame of its own: they need not be on the stack together.
        let rings = self.rings(samples, &survey);
        let times = self.times(samples, &survey);
        self.complete(samples, &survey, &times, rings)
    }

    /// The values that do not depend on transitions.
    #[inline(never)]
    fn survey<T: Sample>(&self, samples: &[T]) -> Result<Survey<T>, Reason> {
        let sums = Sums::of(samples)?;
        let clipped = self.clipped(&sums);
        let levels = self.levels(samples, &sums);
        Ok(Survey { statistics: sums.statistics(), clipped, levels })
    }

    #[inline(never)]
    fn complete<T: Sample>(
        &self,
        samples: &[T],
        survey: &Result<Survey<T>, Reason>,
        times: &Times,
        rings: bool,
    ) -> Measurements {
        let len = samples.len() as u64;
        let survey = match survey {
            Ok(survey) => survey,
            Err(reason) => return Measurements::none(len, *reason),
        };
        // Levels that were given are as they are, whatever the samples.
        let given = self.config.levels.is_some();
        let mut clipped = if given { (Ok(()), Ok(())) } else { survey.clipped };
        let Times { mut timing, varies } = *times;
        let mut doubts = Doubts::default();
        if let Ok(Levels { states, rest: Some(rest) }) = &survey.levels {
            doubts = rest.doubts();
            doubts.period_varies = rest.period_varies(varies, &timing);
            doubts.amplitude_changes |= rest.changes_over(samples, timing.cycles);
            doubts.still_ringing = rings;
            let is_logic = |rests: bool, level: f64| {
                rests && timing.is_fast() && self.is_end_code(level, rest)
            };
            if clipped.0.is_err() && is_logic(rest.low_rests, states.low) {
                (clipped.0, doubts.low_at_end_code) = (Ok(()), true);
            }
            if clipped.1.is_err() && is_logic(rest.high_rests, states.high) {
                (clipped.1, doubts.high_at_end_code) = (Ok(()), true);
            }
        }
        if let Err(reason) = clipped.0.and(clipped.1) {
            timing.leave_periods_alone(reason);
        } else if doubts.low_at_end_code || doubts.high_at_end_code {
            timing.leave_out_durations(Reason::Clipped);
        }
        let statistics = (&survey.statistics, survey.clipped);
        let states = survey.levels.as_ref().map(|levels| levels.states).map_err(|reason| *reason);
        let levels = (states, clipped);
        Measurements::found(len, statistics, levels, self.config.references, (timing, doubts))
    }

    /// Calls `each` for every transition. There is one copy of the loop for all users, to save
    /// code.
    #[inline(never)]
    pub(super) fn for_each_transition<T: Sample>(
        &self,
        samples: &[T],
        levels: &Levels<T>,
        each: &mut dyn FnMut(Transition),
    ) -> Result<(), Reason> {
        // By reference, since a copy would be on the stack too.
        self.transitions_between(samples, levels)?.by_ref().for_each(each);
        Ok(())
    }

    #[inline(never)]
    fn times<T: Sample>(&self, samples: &[T], survey: &Result<Survey<T>, Reason>) -> Times {
        let none = |reason| Times { timing: Timing::none(reason), varies: None };
        let levels = match survey {
            Ok(Survey { levels: Ok(levels), .. }) => levels,
            Ok(Survey { levels: Err(reason), .. }) | Err(reason) => return none(*reason),
        };
        let mut sums = TimingSums::new(levels.is_steady());
        let found =
            self.for_each_transition(samples, levels, &mut |transition| sums.add(transition));
        match found {
            Ok(()) => Times { timing: sums.timing(), varies: sums.variation() },
            Err(reason) => none(reason),
        }
    }

    /// Whether a state still rings when the next transition begins.
    fn rings<T: Sample>(&self, samples: &[T], survey: &Result<Survey<T>, Reason>) -> bool {
        match survey {
            Ok(Survey { levels: Ok(Levels { rest: Some(rest), .. }), .. }) => {
                self.is_ringing(samples, rest)
            }
            _ => false,
        }
    }

    /// Whether a level where the signal rests is an end code, as in logic from 0 V: within noise,
    /// or within 1 % of the amplitude.
    fn is_end_code<T: Sample>(&self, level: f64, rest: &Rest<T>) -> bool {
        let near = (2.0 * rest.noise).max(0.01 * rest.levels.amplitude());
        let is_near = |code: f64| libm::fabs(level - code) <= near;
        self.config.end_codes.is_some_and(|(low, high)| is_near(low) || is_near(high))
    }

    /// Iterates over the transitions of a record, one by one.
    ///
    /// # Errors
    /// The errors of [`StateLevels::of`]; [`Reason::NoTransition`] if no sample can reach a
    /// reference.
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
        let levels = self.levels_of(samples)?;
        self.transitions_between(samples, &levels)
    }

    /// The configuration.
    pub fn config(&self) -> &Config {
        &self.config
    }

    /// The state levels of a record that reaches no end code.
    pub(super) fn unclipped_levels<T: Sample>(&self, samples: &[T]) -> Result<Levels<T>, Reason> {
        let sums = Sums::of(samples)?;
        let (below, above) = self.clipped(&sums);
        below.and(above)?;
        self.levels(samples, &sums)
    }

    /// The state levels of a record.
    pub(super) fn levels_of<T: Sample>(&self, samples: &[T]) -> Result<Levels<T>, Reason> {
        self.levels(samples, &Sums::of(samples)?)
    }

    /// The state levels of a record whose extremes are known.
    fn levels<T: Sample>(&self, samples: &[T], sums: &Sums<T>) -> Result<Levels<T>, Reason> {
        let extremes = &sums.extremes;
        if let Some(states) = self.config.levels {
            return Ok(Levels { states, rest: None });
        }
        if self.config.method == LevelMethod::Rest && extremes.minimum < extremes.maximum {
            let rest = Rest::of(samples, extremes)?;
            return Ok(Levels { states: rest.levels, rest: Some(rest) });
        }
        let states = StateLevels::between(self.config.method, samples, extremes)?;
        Ok(Levels { states, rest: None })
    }

    /// Whether a record avoids the lowest and the highest code.
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

    #[inline]
    pub(super) fn transitions_between<'a, T: Sample>(
        &self,
        samples: &'a [T],
        levels: &Levels<T>,
    ) -> Result<Transitions<'a, T>, Reason> {
        let Levels { states, rest } = levels;
        let references = states.references(self.config.references);
        let mut how = Passages::default();
        let mut hysteresis = self.config.hysteresis;
        if let Some(rest) = rest {
            hysteresis = rest.hysteresis(hysteresis, self.config.references);
            how = Passages {
                sums: rest.is_smoothed().then_some((rest.within, rest.smoothing)),
                beside_middle: rest.rests_between(),
                by_most: rest.is_noisy() || rest.left_out > 0,
            };
        }
        let hysteresis = hysteresis * states.amplitude();
        Transitions::new(samples, references, hysteresis, how).ok_or(Reason::NoTransition)
    }
}
