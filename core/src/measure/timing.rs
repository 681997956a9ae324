//! Times between transitions: periods, pulse widths, rise and fall times.

use super::transition::Transition;
use super::{Reason, Value};
use crate::{Instant, Slope, Span};

/// The times between the transitions of a record, in samples.
///
/// Each is a mean over all of its kind that are complete in the record. By IEEE Std 181-2011 (from
/// memory): the period is between middle instants of the same slope; the pulse duration is between
/// middle instants of opposite slope; the transition duration is between the outer reference
/// instants.
///
/// Times are in samples, the frequency in cycles a sample:
///
/// ```
/// use stillwave::measure::measure;
/// let square: Vec<u8> = (0..100).map(|i| if i % 20 < 5 { 200 } else { 50 }).collect();
/// let timing = measure(&square).timing;
/// assert_eq!((timing.cycles, timing.period, timing.frequency), (4, Ok(20.0), Ok(0.05)));
/// assert_eq!((timing.positive_width, timing.duty), (Ok(5.0), Ok(0.25)));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Timing {
    /// The time from one sample to the next: 1, or in seconds after `timed`.
    pub interval: f64,
    /// The number of complete cycles, each beginning with the slope of the first transition of the
    /// record.
    pub cycles: u64,
    /// The mean period: from the first to the last beginning of a cycle, over their number.
    pub period: Value,
    /// One over the period, in cycles a sample.
    pub frequency: Value,
    /// The fraction of the complete cycles during which the signal is high: 0 to 1.
    pub duty: Value,
    /// The mean time from a rising transition to the next falling one.
    pub positive_width: Value,
    /// The mean time from a falling transition to the next rising one.
    pub negative_width: Value,
    /// The mean time from the low to the high reference of a rising transition.
    pub rise_time: Value,
    /// The mean time from the high to the low reference of a falling transition.
    pub fall_time: Value,
}

impl Timing {
    /// No times, for one reason.
    pub(super) fn none(reason: Reason) -> Self {
        let none = Err(reason);
        Self {
            interval: 1.0,
            cycles: 0,
            period: none,
            frequency: none,
            duty: none,
            positive_width: none,
            negative_width: none,
            rise_time: none,
            fall_time: none,
        }
    }

    /// Removes the values that depend on the level at which they are taken, and gives that reason
    /// instead.
    pub(super) fn leave_periods_alone(&mut self, reason: Reason) {
        self.duty = Err(reason);
        self.positive_width = Err(reason);
        self.negative_width = Err(reason);
        self.rise_time = Err(reason);
        self.fall_time = Err(reason);
    }

    /// Removes the durations of transitions that have a value, and gives that reason instead.
    pub(super) fn leave_out_durations(&mut self, reason: Reason) {
        self.rise_time = self.rise_time.and(Err(reason));
        self.fall_time = self.fall_time.and(Err(reason));
    }

    /// Whether both transitions take at most 2 % of the period, or are too fast to be seen.
    pub(super) fn is_fast(&self) -> bool {
        let is_fast = |time: Value| match (time, self.period) {
            (Err(Reason::TooFast), _) => true,
            (Ok(time), Ok(period)) => time <= 0.02 * period,
            _ => false,
        };
        is_fast(self.rise_time) && is_fast(self.fall_time)
    }

    /// Swaps up and down.
    pub(super) fn inverted(self) -> Self {
        Self {
            duty: self.duty.map(|duty| 1.0 - duty),
            positive_width: self.negative_width,
            negative_width: self.positive_width,
            rise_time: self.fall_time,
            fall_time: self.rise_time,
            ..self
        }
    }

    /// How far off each value can be from the samples alone, if the signal may jump between any two
    /// of them. Interpolation does better when transitions take several samples.
    ///
    /// Every instant is known to within one sample. A width or a duration is thus known to within
    /// one sample, and the mean period to within one sample over the number of cycles.
    ///
    /// ```
    /// use stillwave::measure::measure;
    /// let square: Vec<u8> = (0..100).map(|i| if i % 20 < 5 { 200 } else { 50 }).collect();
    /// let timing = measure(&square).timed(1e6)?.timing;
    /// let resolution = timing.resolution();
    /// assert_eq!((timing.cycles, resolution.period), (4, Ok(0.25e-6)));
    /// assert_eq!(resolution.positive_width, Ok(1e-6));
    /// // 1 part in 80 of 50 kHz
    /// assert!((resolution.frequency.unwrap() - 625.0).abs() < 1e-6);
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    #[must_use]
    pub fn resolution(&self) -> Self {
        let interval = self.interval;
        let a_sample = |value: Value| value.map(|_| interval);
        let period = self.period.map(|_| interval / self.cycles as f64);
        let relative = |value: Value| {
            let period = self.period?;
            Ok(value? / period)
        };
        Self {
            interval,
            cycles: self.cycles,
            period,
            frequency: self.frequency.and_then(|frequency| Ok(frequency * relative(period)?)),
            duty: relative(a_sample(self.duty)),
            positive_width: a_sample(self.positive_width),
            negative_width: a_sample(self.negative_width),
            rise_time: a_sample(self.rise_time),
            fall_time: a_sample(self.fall_time),
        }
    }

    /// Converts times to seconds, for a rate in samples a second.
    pub(super) fn timed(&self, rate: f64) -> Self {
        let seconds = |samples: Value| samples.map(|samples| samples / rate);
        Self {
            interval: self.interval / rate,
            cycles: self.cycles,
            period: seconds(self.period),
            frequency: self.frequency.map(|frequency| frequency * rate),
            duty: self.duty,
            positive_width: seconds(self.positive_width),
            negative_width: seconds(self.negative_width),
            rise_time: seconds(self.rise_time),
            fall_time: seconds(self.fall_time),
        }
    }
}

/// Collects the times of one kind.
pub(super) trait Collect {
    /// Adds the next time.
    fn add(&mut self, time: Span);

    /// Adds a time that was too short to be known.
    fn add_unknown(&mut self);
}

/// The times between transitions and within them, each together with those of its kind.
#[derive(Default)]
pub(super) struct Kinds<C> {
    /// The time of the last transition.
    last: Option<Instant>,
    pub(super) positive: C,
    pub(super) negative: C,
    pub(super) rise: C,
    pub(super) fall: C,
}

impl<C: Collect> Kinds<C> {
    /// Adds the next transition, and returns the time since the one before.
    #[inline]
    pub(super) fn add(&mut self, transition: Transition) -> Option<Span> {
        let (width, duration) = match transition.slope {
            Slope::Rising => (&mut self.negative, &mut self.rise),
            Slope::Falling => (&mut self.positive, &mut self.fall),
        };
        match transition.duration() {
            Ok(time) => duration.add(time),
            Err(Reason::TooFast) => duration.add_unknown(),
            Err(_) => {}
        }
        let time = transition.mid.since(self.last.replace(transition.mid)?);
        width.add(time);
        Some(time)
    }
}

/// A sum of times, in 1/65536 of a sample.
#[derive(Clone, Copy, Default)]
struct Times {
    count: u32,
    parts: u64,
    /// Whether one of them is not known.
    unknown: bool,
}

impl Collect for Times {
    #[inline]
    fn add(&mut self, time: Span) {
        self.count = self.count.saturating_add(1);
        self.parts = self.parts.saturating_add(time.parts());
    }

    #[inline]
    fn add_unknown(&mut self) {
        self.unknown = true;
    }
}

impl Times {
    fn mean(self, otherwise: Reason) -> Value {
        if self.unknown {
            return Err(Reason::TooFast);
        }
        if self.count == 0 {
            return Err(otherwise);
        }
        // Their product is exact.
        Ok(self.parts as f64 / (u64::from(self.count) << 16) as f64)
    }
}

/// The times of a record's transitions, as they are collected.
#[derive(Default)]
pub(super) struct TimingSums {
    first: Option<(Slope, Instant)>,
    /// The time since the first transition during which the signal was high; and, with the period,
    /// up to the last beginning of a cycle.
    high: u64,
    high_in_cycles: u64,
    cycles: Times,
    /// Of periods, in 1/256 of a sample.
    squares: u128,
    kinds: Kinds<Times>,
    /// The runs of the transitions with the first slope, and of the others.
    runs: Option<[Runs; 2]>,
}

/// Runs of cycles of about equal length: if a signal decays or is modulated, noise may hide some of
/// its weak cycles.
#[derive(Default)]
struct Runs {
    /// When the last cycle began, as the time since the very first transition.
    last: Option<u64>,
    this: Times,
    most: Times,
}

impl Runs {
    /// The mean over both slopes: an offset of the middle from that of a decaying signal moves one
    /// forwards and the other back.
    fn period([first, others]: &[Self; 2]) -> Value {
        let period = first.most.mean(Reason::NotEnoughCycles)?;
        let is_like = others.most.count > 0 && others.most.count + 1 >= first.most.count;
        match others.most.mean(Reason::NotEnoughCycles) {
            Ok(other) if is_like => Ok(f64::midpoint(period, other)),
            _ => Ok(period),
        }
    }

    fn add(&mut self, since_first: u64) {
        let Some(last) = self.last.replace(since_first) else { return };
        let period = since_first.saturating_sub(last);
        // Within a third of the mean.
        let (count, parts) = (u64::from(self.this.count), self.this.parts);
        let is_alike = (period.saturating_mul(count)).abs_diff(parts) <= parts / 3;
        if !is_alike {
            self.this = Times::default();
        }
        self.this.count = self.this.count.saturating_add(1);
        self.this.parts = self.this.parts.saturating_add(period);
        if self.this.count > self.most.count {
            self.most = self.this;
        }
    }
}

impl TimingSums {
    /// Makes it. With `steady`, the period is that of the longest run of cycles of about equal
    /// length.
    pub(super) fn new(steady: bool) -> Self {
        Self { runs: steady.then(Default::default), ..Self::default() }
    }

    /// Adds the next transition.
    pub(super) fn add(&mut self, transition: Transition) {
        let Transition { slope, mid, .. } = transition;
        let time = self.kinds.add(transition);
        if let (Slope::Falling, Some(time)) = (slope, time) {
            self.high = self.high.saturating_add(time.parts());
        }
        if let Some(runs) = &mut self.runs {
            let (begin, at) = self.first.unwrap_or((slope, mid));
            let [first, others] = runs;
            (if begin == slope { first } else { others }).add(mid.since(at).parts());
        }
        match self.first {
            None => self.first = Some((slope, mid)),
            Some((begin, at)) if begin == slope => {
                self.cycles.count = self.cycles.count.saturating_add(1);
                let before = self.cycles.parts;
                self.cycles.parts = mid.since(at).parts();
                let period = self.cycles.parts.saturating_sub(before) >> 8;
                self.squares = self.squares.saturating_add(period.saturating_mul(period).into());
                self.high_in_cycles = self.high;
            }
            Some(_) => {}
        }
    }

    /// The variance of the periods, over their mean squared; for three or more periods.
    pub(super) fn variation(&self) -> Option<f64> {
        let count = f64::from(self.cycles.count);
        let sum = self.cycles.parts as f64 / 256.0;
        if self.cycles.count < 3 || sum <= 0.0 {
            return None;
        }
        // Rounding makes a little less than nothing of periods that are all the same.
        let part = self.squares as f64 * count / (sum * sum) - 1.0;
        Some(part.max(0.0))
    }

    /// The times so far.
    pub(super) fn timing(&self) -> Timing {
        let Some(_) = self.first else {
            return Timing::none(Reason::NoTransition);
        };
        let all = self.cycles.mean(Reason::NotEnoughCycles);
        let period = self.runs.as_ref().map_or(all, Runs::period);
        Timing {
            interval: 1.0,
            cycles: self.cycles.count.into(),
            period,
            frequency: period.map(|period| 1.0 / period),
            duty: period.map(|_| self.high_in_cycles as f64 / self.cycles.parts as f64),
            positive_width: self.kinds.positive.mean(Reason::NotEnoughCycles),
            negative_width: self.kinds.negative.mean(Reason::NotEnoughCycles),
            rise_time: self.kinds.rise.mean(Reason::NoTransition),
            fall_time: self.kinds.fall.mean(Reason::NoTransition),
        }
    }
}
