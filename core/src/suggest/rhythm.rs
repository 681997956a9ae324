//! The pattern of events: even, in bursts, or irregular.

use super::magnitudes::Magnitudes;
use super::replay::Replay;
use crate::measure::Running;
use crate::{Block, Comparator, ConfigError, Instant, Level, Sample, Slope};

/// The number of bits by which a span is shifted to count intervals in 1/16 of a sample.
const FINE: u32 = 12;
const UNITS: f64 = (1 << (16 - FINE)) as f64;

/// The pattern of the edges of a signal, in samples.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Pattern {
    /// There are no edges.
    None,
    /// There is a single edge.
    Once,
    /// Edges are at even intervals: the deviation is under a third of the mean.
    Even {
        /// The mean interval.
        period: f64,
    },
    /// Edges come in bursts, with longer gaps between them; or a contact bounces when it closes and
    /// when it opens, and each whole cycle counts as one burst.
    Bursts(Bursts),
    /// Edges come at intervals without a pattern.
    Irregular {
        /// The mean interval.
        interval: f64,
    },
}

/// Bursts of edges, in samples.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Bursts {
    /// The smallest and the largest number of edges in one burst.
    pub edges: (u64, u64),
    /// The longest time from the first to the last edge of a burst.
    pub duration: f64,
    /// The mean time from the first edge of a burst to the first edge of the next.
    pub repetition: f64,
    /// The shortest of these times.
    pub shortest_repetition: f64,
}

impl Bursts {
    /// The holdoff time: past the last edge of every burst, and before the first edge of the next.
    ///
    /// It is half way between the two, so that triggering that begins within a burst soon reaches a
    /// first edge too.
    pub fn holdoff(&self) -> f64 {
        f64::midpoint(self.duration, self.shortest_repetition)
    }
}

/// The statistics of all edges of a signal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rhythm {
    pub(super) pattern: Pattern,
    pub(super) edges: u64,
    /// The positions of the first and the last edge.
    pub(super) first: u64,
    pub(super) last: u64,
    /// The interval that three quarters of all intervals are shorter than.
    pub(super) long: f64,
    /// The mean time from an edge until the signal is back.
    pub(super) width: Option<f64>,
}

impl Rhythm {
    /// The pattern of the edges through `level`. With `strict`, only bursts of two or more edges on
    /// average count as bursts; otherwise also edges that now and then come twice.
    pub(super) fn of<T: Sample, R: Replay<T>>(
        signal: &mut R,
        slope: Slope,
        level: Level<T>,
        strict: bool,
    ) -> Result<Self, R::Error> {
        let mut widths = Running::default();
        let mut intervals = (Running::default(), Magnitudes::default());
        let (mut first, mut last, mut edges) = (None, None::<Instant>, 0_u64);
        let Ok(mut comparator) = Comparator::new(slope, level) else { return Ok(Self::NONE) };
        each_crossing(signal, &mut comparator, |this, at| {
            if this != slope {
                widths.push(last.map_or(Err(crate::measure::Reason::Empty), |last| {
                    Ok(at.since(last).to_samples())
                }));
                return;
            }
            edges += 1;
            first = first.or(Some(at.position));
            if let Some(last) = last.replace(at) {
                let interval = at.since(last);
                intervals.0.push(Ok(interval.to_samples()));
                intervals.1.add(interval.parts() >> FINE);
            }
        })?;
        let found = Self {
            pattern: Pattern::None,
            edges,
            first: first.unwrap_or(0),
            last: last.map_or(0, |last| last.position),
            long: intervals.1.quantile(0.75) / UNITS,
            width: widths.mean().ok(),
        };
        let (intervals, magnitudes) = intervals;
        let Ok(interval) = intervals.mean() else {
            return Ok(Self {
                pattern: if edges == 0 { Pattern::None } else { Pattern::Once },
                ..found
            });
        };
        if let Some(gap) = magnitudes.widest_gap()
            && gap.above <= if strict { gap.below } else { u64::MAX }
            && gap.above >= 2
            // A few periods left out make no bursts of all that lies between.
            && (gap.above * 64 >= gap.below || gap.end >= 4.0 * gap.start)
        {
            let apart = libm::sqrt(gap.start * gap.end) / UNITS;
            if let Some(bursts) = bursts(signal, &mut Comparator::new(slope, level), apart)? {
                return Ok(Self { pattern: Pattern::Bursts(bursts), ..found });
            }
        }
        let even = intervals.standard_deviation().is_ok_and(|spread| 3.0 * spread < interval);
        let pattern = if even || intervals.count() == 1 {
            Pattern::Even { period: interval }
        } else {
            Pattern::Irregular { interval }
        };
        Ok(Self { pattern, ..found })
    }

    const NONE: Self =
        Self { pattern: Pattern::None, edges: 0, first: 0, last: 0, long: 0.0, width: None };
}

/// How much intervals between edges typically differ from the one before, in samples. It is the
/// median, which edges missing here and there do not move; `None` for fewer than 8 intervals.
pub(super) fn wander<T: Sample, R: Replay<T>>(
    signal: &mut R,
    slope: Slope,
    level: Level<T>,
) -> Result<Option<f64>, R::Error> {
    let Ok(mut comparator) = Comparator::new(slope, level) else { return Ok(None) };
    let (mut last, mut before) = (None::<Instant>, None::<u64>);
    let (mut count, mut differences) = (0_u64, Magnitudes::default());
    each_crossing(signal, &mut comparator, |this, at| {
        if this != slope {
            return;
        }
        let Some(last) = last.replace(at) else { return };
        let interval = at.since(last).parts() >> FINE;
        count += 1;
        if let Some(before) = before.replace(interval) {
            differences.add(interval.abs_diff(before));
        }
    })?;
    Ok((count >= 8).then(|| differences.quantile(0.5) / UNITS))
}

/// Calls `each` for every crossing of a signal, with its direction and instant.
fn each_crossing<T: Sample, R: Replay<T>>(
    signal: &mut R,
    comparator: &mut Comparator<T>,
    mut each: impl FnMut(Slope, Instant),
) -> Result<(), R::Error> {
    let mut position = 0;
    signal.replay(|samples| {
        let channels = [samples];
        let block = Block::new(position, &channels);
        comparator.for_each(&block, |crossing| each(crossing.slope, crossing.at));
        position = block.end();
    })
}

/// A burst in progress.
#[derive(Clone, Copy)]
struct Burst {
    first: Instant,
    last: Instant,
    edges: u64,
    /// Whether the signal before it was seen.
    whole: bool,
    /// When the signal was back after the last edge.
    back: Option<Instant>,
}

impl Burst {
    /// A burst that begins.
    fn at(first: Instant, whole: bool) -> Self {
        Self { first, last: first, edges: 1, whole, back: None }
    }

    /// Whether the signal stays beyond the level after it.
    fn stays(&self, apart: f64) -> bool {
        self.back.is_none_or(|back| back.since(self.last).to_samples() >= apart)
    }
}

/// What bursts are like, or bursts taken together.
#[derive(Clone, Copy)]
struct Groups {
    repetitions: Running,
    duration: f64,
    edges: (u64, u64),
}

impl Groups {
    fn new() -> Self {
        Self { repetitions: Running::default(), duration: 0.0, edges: (u64::MAX, 0) }
    }

    /// A group from its first edge to its last; the next group begins at `next`.
    fn add(&mut self, &Burst { first, last, edges, .. }: &Burst, next: Option<Instant>) {
        let (fewest, most) = self.edges;
        self.duration = self.duration.max(last.since(first).to_samples());
        self.edges = (fewest, most.max(edges));
        if let Some(next) = next {
            self.edges.0 = fewest.min(edges);
            self.repetitions.push(Ok(next.since(first).to_samples()));
        }
    }

    /// Takes a last group, which may go on beyond the end.
    fn last(&mut self, &Burst { first, last, .. }: &Burst) {
        self.duration = self.duration.max(last.since(first).to_samples());
    }

    /// `None` if they are not bursts after all: no holdoff time would work for all of them, or
    /// nearly all edges are one burst.
    fn bursts(&self) -> Option<Bursts> {
        let (repetition, shortest_repetition) =
            (self.repetitions.mean().ok()?, self.repetitions.minimum().ok()?);
        let (Self { duration, edges, .. }, (fewest, most)) = (*self, self.edges);
        let alike = most <= 50 || most <= fewest.saturating_mul(2);
        (alike && duration < shortest_repetition).then_some(Bursts {
            edges,
            duration,
            repetition,
            shortest_repetition,
        })
    }
}

/// Edges grouped into bursts that are `apart` samples or more from each other.
///
/// A contact bounces when it closes and when it opens. The signal then stays beyond the level after
/// some bursts only. Each of these begins a group that lasts until the next one.
fn bursts<T: Sample, R: Replay<T>>(
    signal: &mut R,
    comparator: &mut Result<Comparator<T>, ConfigError>,
    apart: f64,
) -> Result<Option<Bursts>, R::Error> {
    let Ok(comparator) = comparator else { return Ok(None) };
    let passes = comparator.slope();
    let (mut group, mut now) = (None::<Burst>, None::<Burst>);
    let (mut single, mut joined) = (Groups::new(), Groups::new());
    let (mut stays, mut returns) = (0_u64, 0_u64);
    each_crossing(signal, comparator, |slope, at| {
        let Some(burst) = &mut now else {
            if slope == passes {
                now = Some(Burst::at(at, false));
            }
            return;
        };
        if slope != passes {
            burst.back = Some(at);
        } else if at.since(burst.last).to_samples() < apart {
            (burst.edges, burst.last, burst.back) = (burst.edges + 1, at, None);
        } else {
            single.add(burst, burst.whole.then_some(at));
            if burst.stays(apart) {
                stays += 1;
                if let Some(group) = group.replace(*burst) {
                    joined.add(&group, group.whole.then_some(burst.first));
                }
            } else {
                returns += 1;
                if let Some(group) = &mut group {
                    (group.edges, group.last) = (group.edges + burst.edges, burst.last);
                }
            }
            *burst = Burst::at(at, true);
        }
    })?;
    if let Some(burst) = now {
        single.last(&burst);
        if let Some(group) = group {
            let last = if burst.stays(apart) { group.last } else { burst.last };
            joined.last(&Burst { last, ..group });
        }
    }
    let two_kinds = stays.min(returns) >= 3 && stays.min(returns) * 10 >= stays + returns;
    Ok(two_kinds.then(|| joined.bursts()).flatten().or_else(|| single.bursts()))
}
