//! The shape of transitions besides their duration: aberrations, settling, slew rate.
//!
//! ```text
//!                ╭╮ ─ ─ overshoot
//! high ─ ─ ─ ─ ─│╰╯─╮╭──── settled
//!               │   ╰╯─ ─ undershoot
//! low ─────╮ ╭─╯
//!          ╰─╯─ ─ preshoot
//!          ◄─►◄─────►
//!       before   after: up to half way to the next transition
//! ```

use super::number::real;
use super::threshold::Threshold;
use super::transition::Transition;
use super::{Meter, Reason, StateLevels, Value};
use crate::{ConfigError, Sample, Scale, Slope, Span};

/// The shape of the transitions of one slope: means over the transitions that the record holds
/// whole.
///
/// By IEEE Std 181-2011 (from memory), which leaves it to the user how far the regions before and
/// after a transition extend. Here they extend half way to the previous and to the next transition,
/// or to the ends of the record. Fractions are of the amplitude; what is said of a rising
/// transition holds mirrored for a falling one.
///
/// Conversion to counts per second:
///
/// ```
/// use stillwave::{Slope, measure::Meter};
/// let ramps: Vec<u8> = (0..400).map(|i| ((i % 100_i32 - 50).abs() * 10 - 150).clamp(0, 200) as u8).collect();
/// let shape = Meter::default().edge_shape(&ramps, Slope::Rising).timed(1e6)?;
/// assert!((shape.slew_rate? - 10e6).abs() < 1e3 && shape.overshoot == Ok(0.0));
/// # Ok::<(), Box<dyn core::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct EdgeShape {
    /// The number of transitions of that slope.
    pub count: u64,
    /// The time between the outer reference levels, in samples.
    pub duration: Value,
    /// The difference between the outer reference levels over that time, in counts a sample;
    /// negative when falling.
    pub slew_rate: Value,
    /// How far the signal rises above the high state after the transition: (max − high)/amplitude.
    pub overshoot: Value,
    /// How far it falls back below the high state once it was there: (high − min)/amplitude.
    pub undershoot: Value,
    /// How far it falls below the low state before the transition: (low − min)/amplitude.
    pub preshoot: Value,
    /// The time from the middle of the transition until the signal stays near the final level, in
    /// samples.
    pub settling: Value,
}

impl EdgeShape {
    fn none(reason: Reason) -> Self {
        let none = Err(reason);
        Self {
            count: 0,
            duration: none,
            slew_rate: none,
            overshoot: none,
            undershoot: none,
            preshoot: none,
            settling: none,
        }
    }

    /// Returns the shape with the slew rate converted from counts to volts. If the front end
    /// inverts, a rising transition in counts is a falling one in volts.
    #[must_use]
    pub fn scaled(self, scale: Scale) -> Self {
        let slew_rate = self.slew_rate.map(|slew| slew * scale.volts_per_count);
        Self { slew_rate, ..self }
    }

    /// Converts times to seconds, for a rate in samples a second.
    ///
    /// # Errors
    /// The rate is not a finite number over 0.
    pub fn timed(self, rate: f64) -> Result<Self, ConfigError> {
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(ConfigError::new("rate", rate, "over 0"));
        }
        Ok(Self {
            duration: self.duration.map(|samples| samples / rate),
            settling: self.settling.map(|samples| samples / rate),
            slew_rate: self.slew_rate.map(|slew| slew * rate),
            ..self
        })
    }
}

impl Meter {
    /// Measures the shape of the transitions of one slope.
    ///
    /// ```
    /// use stillwave::{Slope, measure::{Config, Meter, StateLevels}};
    /// let ringing = [0, 0, -50, 250, 750, 1100, 950, 1010, 1000, 1000_i16];
    /// let levels = Some(StateLevels { low: 0.0, high: 1000.0 });
    /// let meter = Meter::new(Config { levels, ..Config::default() })?;
    /// let shape = meter.edge_shape(&ringing, Slope::Rising);
    /// let near = |value: Result<f64, _>, expected: f64| (value.unwrap() - expected).abs() < 1e-6;
    /// assert!(near(shape.overshoot, 0.1) && near(shape.undershoot, 0.05));
    /// assert!(near(shape.preshoot, 0.05));
    /// // From half way between 250 and 750 to 980, half way between 950 and 1010.
    /// assert!(near(shape.settling, 3.0));
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    pub fn edge_shape<T: Sample>(&self, samples: &[T], slope: Slope) -> EdgeShape {
        match self.edge_sums(samples, slope) {
            Ok(sums) => sums.shape(),
            Err(reason) => EdgeShape::none(reason),
        }
    }

    fn edge_sums<T: Sample>(&self, samples: &[T], slope: Slope) -> Result<EdgeSums, Reason> {
        let found = self.unclipped_levels(samples)?;
        let levels = found.states;
        let view = View::new(samples, slope, levels, self.config().settling)
            .ok_or(Reason::NoTransition)?;
        let references = levels.references(self.config().references);
        let rise = match slope {
            Slope::Rising => references.high - references.low,
            Slope::Falling => references.low - references.high,
        };
        let mut sums = EdgeSums::default();
        let mut transitions = self.transitions_between(samples, &found)?.peekable();
        let mut previous: Option<u64> = None;
        while let Some(this) = transitions.next() {
            let middle = this.mid.position;
            let from = previous.replace(middle).map_or(0, |p| u64::midpoint(p, middle));
            let to = transitions
                .peek()
                .map_or(samples.len() as u64, |next| u64::midpoint(middle, next.mid.position));
            if this.slope == slope {
                sums.add(&this, rise, &view, from as usize, to as usize);
            }
        }
        Ok(sums)
    }
}

/// A record, as the transitions of one slope see it.
struct View<'a, T> {
    samples: &'a [T],
    slope: Slope,
    levels: StateLevels,
    arrived: Threshold<T>,
    /// The range around the final level in which the signal counts as settled.
    band: (f64, f64),
}

impl<'a, T: Sample> View<'a, T> {
    fn new(samples: &'a [T], slope: Slope, levels: StateLevels, settling: f64) -> Option<Self> {
        let last = match slope {
            Slope::Rising => levels.high,
            Slope::Falling => levels.low,
        };
        let near = settling * levels.amplitude();
        let arrived = Threshold::new(last)?;
        Some(Self { samples, slope, levels, arrived, band: (last - near, last + near) })
    }

    /// How far a sample is above a level (for a rising slope), as a fraction of the amplitude;
    /// negative if it is below.
    fn up(&self, from: f64, x: T) -> f64 {
        let distance = match self.slope {
            Slope::Rising => real(x) - from,
            Slope::Falling => from - real(x),
        };
        distance / self.levels.amplitude()
    }

    /// The level that the slope leads from, and the one it leads to.
    fn ends(&self) -> (f64, f64) {
        match self.slope {
            Slope::Rising => (self.levels.low, self.levels.high),
            Slope::Falling => (self.levels.high, self.levels.low),
        }
    }

    fn preshoot(&self, from: usize, begin: usize) -> f64 {
        let before = self.samples.get(from..begin).unwrap_or(&[]);
        before.iter().map(|&x| -self.up(self.ends().0, x)).fold(0.0, f64::max)
    }

    fn overshoot(&self, end: usize, to: usize) -> f64 {
        let after = self.samples.get(end..to).unwrap_or(&[]);
        after.iter().map(|&x| self.up(self.ends().1, x)).fold(0.0, f64::max)
    }

    fn undershoot(&self, end: usize, to: usize) -> f64 {
        let after = self.samples.get(end..to).unwrap_or(&[]);
        let since = after.iter().skip_while(|&&x| !self.arrived.is_past(self.slope, x));
        since.map(|&x| -self.up(self.ends().1, x)).fold(0.0, f64::max)
    }

    /// The time, in samples from the start of the record, at which the signal comes near the final
    /// level for good.
    fn settled(&self, middle: usize, to: usize) -> Value {
        let after = self.samples.get(middle.saturating_sub(1)..to).unwrap_or(&[]);
        let (low, high) = self.band;
        let outside = |&x: &T| real(x) < low || real(x) > high;
        let last = after.iter().rposition(outside).ok_or(Reason::NotSettled)?;
        let outer = after.get(last).map(|&x| real(x)).ok_or(Reason::NotSettled)?;
        let inner = after.get(last + 1).map(|&x| real(x)).ok_or(Reason::NotSettled)?;
        let bound = if outer > high { high } else { low };
        let part = (outer - bound) / (outer - inner);
        Ok((middle.saturating_sub(1) + last) as f64 + part)
    }
}

#[derive(Default)]
struct EdgeSums {
    count: u64,
    duration: Average,
    slew_rate: Average,
    overshoot: Average,
    undershoot: Average,
    preshoot: Average,
    settling: Average,
}

impl EdgeSums {
    fn add<T: Sample>(
        &mut self,
        this: &Transition,
        rise: f64,
        view: &View<'_, T>,
        from: usize,
        to: usize,
    ) {
        self.count += 1;
        let duration = this.duration().map(Span::to_samples);
        self.duration.add(duration);
        self.slew_rate.add(duration.map(|duration| rise / duration));
        let begin = this.begin.map(|at| at.position as usize).ok_or(Reason::NoTransition);
        let end = this.end.map(|at| at.position as usize).ok_or(Reason::NoTransition);
        self.preshoot.add(begin.map(|begin| view.preshoot(from, begin)));
        self.overshoot.add(end.map(|end| view.overshoot(end, to)));
        self.undershoot.add(end.map(|end| view.undershoot(end, to)));
        let settled = view.settled(this.mid.position as usize, to);
        self.settling.add(end.and(settled).map(|settled| settled - this.mid.samples()));
    }

    fn shape(&self) -> EdgeShape {
        EdgeShape {
            count: self.count,
            duration: self.duration.mean(),
            slew_rate: self.slew_rate.mean(),
            overshoot: self.overshoot.mean(),
            undershoot: self.undershoot.mean(),
            preshoot: self.preshoot.mean(),
            settling: self.settling.mean(),
        }
    }
}

/// The mean of the values of complete transitions; no value if one of them has a reason not to.
#[derive(Default)]
struct Average {
    count: u64,
    sum: f64,
    reason: Option<Reason>,
}

impl Average {
    fn add(&mut self, value: Value) {
        match value {
            Ok(value) => {
                self.count += 1;
                self.sum += value;
            }
            Err(Reason::NoTransition) => {}
            Err(reason) => self.reason = Some(reason),
        }
    }

    fn mean(&self) -> Value {
        match self.reason {
            Some(reason) => Err(reason),
            None if self.count == 0 => Err(Reason::NoTransition),
            None => Ok(self.sum / self.count as f64),
        }
    }
}
