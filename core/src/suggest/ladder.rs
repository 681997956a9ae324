//! The choice of hysteresis and slope: several are tried side by side.

use super::replay::Replay;
use crate::measure::Running;
use crate::{Block, Comparator, ConfigError, Instant, Level, Sample, Slope};

/// The number of hystereses that are tried.
const RUNGS: usize = 5;

/// The reason for a slope.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum SlopeReason {
    /// The edges of this slope come at more even intervals. The deviations of both are given, as
    /// parts of the mean interval.
    Regular {
        /// The deviation of this slope.
        this: f64,
        /// The deviation of the other slope.
        other: f64,
    },
    /// The signal rests in the other state, so this is the edge that begins each pulse.
    Leading,
    /// There is no edge of the other slope.
    Only,
    /// Both are equally good.
    Either,
}

/// A hysteresis and a slope.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice<T: Sample> {
    pub(super) level: Level<T>,
    pub(super) slope: Slope,
    pub(super) reason: SlopeReason,
    /// Whether the hysteresis is more than the least that was requested.
    pub(super) raised: bool,
}

/// The edges of one slope at one hysteresis.
struct Edges<T: Sample> {
    comparator: Comparator<T>,
    last: Option<Instant>,
    intervals: Running,
}

impl<T: Sample> Edges<T> {
    fn new(slope: Slope, level: Level<T>) -> Result<Self, ConfigError> {
        let comparator = Comparator::new(slope, level)?.only_passages();
        Ok(Self { comparator, last: None, intervals: Running::default() })
    }

    fn push(&mut self, block: &Block<'_, T>) {
        let Self { comparator, last, intervals } = self;
        comparator.for_each(block, |crossing| {
            if let Some(last) = last.replace(crossing.at) {
                intervals.push(Ok(crossing.at.since(last).to_samples()));
            }
        });
    }

    /// The deviation of the intervals, as a part of their mean.
    fn unevenness(&self) -> Option<f64> {
        let (mean, deviation) = (self.intervals.mean(), self.intervals.standard_deviation());
        mean.ok().zip(deviation.ok()).map(|(mean, deviation)| deviation / mean)
    }
}

/// One rung of the ladder: both slopes at one hysteresis.
struct Rung<T: Sample> {
    level: Level<T>,
    rising: Edges<T>,
    falling: Edges<T>,
}

impl<T: Sample> Rung<T> {
    fn new(level: f64, hysteresis: f64) -> Option<Self> {
        let [level, hysteresis] = [level, hysteresis].map(T::wide_from_f64);
        let level = Level::new(level?, hysteresis?).ok()?;
        let [rising, falling] = [Slope::Rising, Slope::Falling].map(|s| Edges::new(s, level).ok());
        Some(Self { level, rising: rising?, falling: falling? })
    }

    /// The unevenness of the more even slope.
    fn unevenness(&self) -> Option<f64> {
        match (self.rising.unevenness(), self.falling.unevenness()) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }
}

/// The smallest hysteresis from `least` to `most` with which edges come nearly as evenly as with
/// any. Noise that fires twice, or a ripple, makes them uneven. `high` is the part of the time in
/// which the signal is in its high state.
pub(super) fn climb<T: Sample, R: Replay<T>>(
    signal: &mut R,
    level: f64,
    (least, most): (f64, f64),
    high: f64,
) -> Result<Option<Choice<T>>, R::Error> {
    let step = libm::pow(most / least, 1.0 / (RUNGS - 1) as f64);
    let mut rungs: [Option<Rung<T>>; RUNGS] =
        core::array::from_fn(|n| Rung::new(level, least * libm::pow(step, n as f64)));
    let mut position = 0;
    signal.replay(|samples| {
        let channels = [samples];
        let block = Block::new(position, &channels);
        for rung in rungs.iter_mut().flatten() {
            rung.rising.push(&block);
            rung.falling.push(&block);
        }
        position = block.end();
    })?;
    let rungs = || rungs.iter().flatten();
    let best = rungs().filter_map(Rung::unevenness).reduce(f64::min);
    let good = |rung: &&Rung<T>| match (rung.unevenness(), best) {
        (Some(this), Some(best)) => this <= 1.2 * best + 0.002,
        _ => best.is_none(),
    };
    let Some(rung) = rungs().find(good) else { return Ok(None) };
    let raised = rungs().next().is_some_and(|first| first.level != rung.level);
    let (slope, reason) = match (rung.rising.last, rung.falling.last) {
        (Some(_), None) => (Slope::Rising, SlopeReason::Only),
        (None, Some(_)) => (Slope::Falling, SlopeReason::Only),
        _ => slope(rung.rising.unevenness(), rung.falling.unevenness(), high),
    };
    Ok(Some(Choice { level: rung.level, slope, reason, raised }))
}

/// The slope that is even, and at least a third more so than the other; else the one that begins a
/// pulse; else the rising one.
fn slope(rising: Option<f64>, falling: Option<f64>, high: f64) -> (Slope, SlopeReason) {
    let better = |this: f64, other: f64| this < 0.34 && this < 0.7 * other - 0.001;
    match (rising, falling) {
        (Some(this), Some(other)) if better(this, other) => {
            (Slope::Rising, SlopeReason::Regular { this, other })
        }
        (Some(other), Some(this)) if better(this, other) => {
            (Slope::Falling, SlopeReason::Regular { this, other })
        }
        _ if high > 0.7 => (Slope::Falling, SlopeReason::Leading),
        _ if high < 0.3 => (Slope::Rising, SlopeReason::Leading),
        _ => (Slope::Rising, SlopeReason::Either),
    }
}
