//! The shortest and the longest times in a record.

use super::timing::{Collect, Kinds};
use super::transition::{Transition, Transitions};
use super::{Meter, Reason, Timing, Value};
use crate::{ConfigError, Instant, Sample, Scale, Slope, Span};

/// The range of the times in a record, from cycle to cycle; [`Timing`] has their means.
///
/// ```
/// use stillwave::measure::Meter;
/// // Three pulses of 5 samples, and one of 2.
/// let pulse = |width: usize| (0..20).map(move |i| if (5..5 + width).contains(&i) { 200 } else { 50 });
/// let samples: Vec<u8> = [5, 5, 2, 5].into_iter().flat_map(pulse).collect();
/// let found = Meter::default().spread(&samples).timed(1e6)?;
/// assert_eq!(found.shortest.positive_width, Ok(2e-6));
/// assert_eq!(found.longest.positive_width, Ok(5e-6));
/// assert_eq!(found.shortest.period, found.longest.period);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Spread {
    /// The shortest of each time, and the smallest duty of a cycle; the frequency of the shortest
    /// period.
    pub shortest: Timing,
    /// The longest of each time, and the largest duty of a cycle; the frequency of the longest
    /// period.
    pub longest: Timing,
}

impl Meter {
    /// Finds the shortest and the longest of the times whose means [`measure`](Self::measure)
    /// gives. If a mean has no value, neither do these, for the same reason.
    pub fn spread<T: Sample>(&self, samples: &[T]) -> Spread {
        let timing = self.measure(samples).timing;
        let found = self.levels_of(samples).and_then(|levels| {
            let transitions = self.transitions_between(samples, &levels)?;
            Ok(Spread::of(transitions, levels.is_steady()))
        });
        let found = match found {
            Ok(found) => found,
            Err(reason) => {
                let none = Timing::none(reason);
                Spread { shortest: none, longest: none }
            }
        };
        if timing.duty == Err(Reason::Clipped) {
            return found.map(|mut timing| {
                timing.leave_periods_alone(Reason::Clipped);
                timing
            });
        }
        if [timing.rise_time, timing.fall_time].contains(&Err(Reason::Clipped)) {
            return found.map(|mut timing| {
                timing.leave_out_durations(Reason::Clipped);
                timing
            });
        }
        found
    }
}

impl Spread {
    /// Returns the same for the voltage at the probe's tip. If the front end inverts, rise and
    /// fall, and positive and negative, are swapped.
    #[must_use]
    pub fn scaled(self, scale: Scale) -> Self {
        if scale.volts_per_count >= 0.0 {
            return self;
        }
        let Self { shortest, longest } = self.map(Timing::inverted);
        let (least, greatest) = (longest.duty, shortest.duty);
        Self {
            shortest: Timing { duty: least, ..shortest },
            longest: Timing { duty: greatest, ..longest },
        }
    }

    /// Converts times to seconds, for a rate in samples a second.
    ///
    /// # Errors
    /// The rate is not a finite number over 0.
    pub fn timed(self, rate: f64) -> Result<Self, ConfigError> {
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(ConfigError::new("rate", rate, "over 0"));
        }
        Ok(self.map(|timing| timing.timed(rate)))
    }

    fn map(self, f: impl Fn(Timing) -> Timing) -> Self {
        Self { shortest: f(self.shortest), longest: f(self.longest) }
    }

    fn of<T: Sample>(transitions: Transitions<'_, T>, steady: bool) -> Self {
        let mut bounds = Bounds { steady, ..Bounds::default() };
        transitions.for_each(|transition| bounds.add(transition));
        bounds.spread()
    }
}

/// The range of the times that are collected one by one.
#[derive(Clone, Copy, Default)]
struct Bound {
    range: Option<(f64, f64)>,
    /// Whether one of them is not known.
    unknown: bool,
}

impl Collect for Bound {
    fn add(&mut self, time: Span) {
        self.include(time.to_samples());
    }

    fn add_unknown(&mut self) {
        self.unknown = true;
    }
}

impl Bound {
    fn include(&mut self, value: f64) {
        let (least, greatest) = self.range.unwrap_or((value, value));
        self.range = Some((least.min(value), greatest.max(value)));
    }

    fn values(self, otherwise: Reason) -> (Value, Value) {
        match self.range {
            _ if self.unknown => (Err(Reason::TooFast), Err(Reason::TooFast)),
            Some((least, greatest)) => (Ok(least), Ok(greatest)),
            None => (Err(otherwise), Err(otherwise)),
        }
    }
}

#[derive(Default)]
struct Bounds {
    /// Whether periods of both slopes count; the last transition of each.
    steady: bool,
    last: (Option<Instant>, Option<Instant>),
    first: Option<Slope>,
    /// The beginning of the cycle in progress, and how much of it was high so far, in samples.
    begin: Instant,
    high: f64,
    cycles: u64,
    period: Bound,
    duty: Bound,
    kinds: Kinds<Bound>,
}

impl Bounds {
    fn add(&mut self, transition: Transition) {
        let Transition { slope, mid, .. } = transition;
        let time = self.kinds.add(transition);
        if let (Slope::Falling, Some(time)) = (slope, time) {
            self.high += time.to_samples();
        }
        if self.steady {
            // The mean is over both slopes' periods.
            let last = match slope {
                Slope::Rising => &mut self.last.0,
                Slope::Falling => &mut self.last.1,
            };
            if let Some(last) = last.replace(mid) {
                self.period.include(mid.since(last).to_samples());
            }
        }
        match self.first {
            None => self.first = Some(slope),
            Some(first) if first == slope => {
                let period = mid.since(self.begin).to_samples();
                self.cycles = self.cycles.saturating_add(1);
                self.period.include(period);
                self.duty.include(self.high / period);
            }
            Some(_) => return,
        }
        (self.begin, self.high) = (mid, 0.0);
    }

    fn spread(&self) -> Spread {
        if self.first.is_none() {
            let none = Timing::none(Reason::NoTransition);
            return Spread { shortest: none, longest: none };
        }
        let period = self.period.values(Reason::NotEnoughCycles);
        let duty = self.duty.values(Reason::NotEnoughCycles);
        let positive = self.kinds.positive.values(Reason::NotEnoughCycles);
        let negative = self.kinds.negative.values(Reason::NotEnoughCycles);
        let rise = self.kinds.rise.values(Reason::NoTransition);
        let fall = self.kinds.fall.values(Reason::NoTransition);
        let timing = |of: fn((Value, Value)) -> Value| Timing {
            interval: 1.0,
            cycles: self.cycles,
            period: of(period),
            frequency: of(period).map(|period| 1.0 / period),
            duty: of(duty),
            positive_width: of(positive),
            negative_width: of(negative),
            rise_time: of(rise),
            fall_time: of(fall),
        };
        Spread { shortest: timing(|(least, _)| least), longest: timing(|(_, greatest)| greatest) }
    }
}
