//! Events counted for many settings at once.

use stillwave::suggest::Replay;
use stillwave::{Block, Comparator, Level, Sample, Slope};

use crate::args::SlopeName;
use crate::error::Error;

/// A setting, and what it finds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// A level or hysteresis in counts, or a width in samples.
    pub setting: f64,
    /// Events with it.
    pub events: u64,
}

/// Samples that go through all comparators while they are near.
const CHUNK: usize = 8192;

/// Edges through levels from one to another, in so many steps; fewer where counts are fewer.
///
/// # Errors
/// As the signal.
pub fn over_levels<T: Sample, R: Replay<T, Error = Error>>(
    signal: &mut R,
    slope: SlopeName,
    (low, high): (f64, f64),
    hysteresis: f64,
    steps: u16,
) -> Result<Vec<Point>, Error> {
    let settings = grid::<T>(low, high, steps);
    let levels = settings.into_iter().map(|setting| (setting, setting, hysteresis));
    edges(signal, slope, levels.collect())
}

/// Edges through one level with hystereses from none to `most`.
///
/// # Errors
/// As the signal.
pub fn over_hysteresis<T: Sample, R: Replay<T, Error = Error>>(
    signal: &mut R,
    slope: SlopeName,
    level: f64,
    most: f64,
    steps: u16,
) -> Result<Vec<Point>, Error> {
    let settings = grid::<T>(0.0, most, steps);
    edges(signal, slope, settings.into_iter().map(|setting| (setting, level, setting)).collect())
}

/// Equal steps, each a level that samples may have.
fn grid<T: Sample>(low: f64, high: f64, steps: u16) -> Vec<f64> {
    let last = f64::from(steps - 1);
    let exact = (0..steps).map(|step| low + (high - low) * f64::from(step) / last);
    let mut grid: Vec<f64> = exact.filter_map(T::wide_from_f64).map(T::wide_to_f64).collect();
    grid.dedup();
    grid
}

/// Edges for each setting, with its level and hysteresis.
fn edges<T: Sample, R: Replay<T, Error = Error>>(
    signal: &mut R,
    slope: SlopeName,
    settings: Vec<(f64, f64, f64)>,
) -> Result<Vec<Point>, Error> {
    let slopes: &[Slope] = match slope {
        SlopeName::Rising => &[Slope::Rising],
        SlopeName::Falling => &[Slope::Falling],
        SlopeName::Either => &[Slope::Rising, Slope::Falling],
    };
    let mut counted = Vec::new();
    for (setting, level, hysteresis) in settings {
        let [level, hysteresis] = [level, hysteresis].map(T::wide_from_f64);
        let Some((level, hysteresis)) = level.zip(hysteresis) else { continue };
        let level = Level::<T>::new(level, hysteresis)?;
        let comparators = slopes
            .iter()
            .map(|&slope| Ok(Comparator::new(slope, level)?.only_passages()))
            .collect::<Result<Vec<_>, Error>>()?;
        counted.push((Point { setting, events: 0 }, comparators));
    }
    let mut position = 0;
    signal.replay(|samples| {
        for chunk in samples.chunks(CHUNK) {
            let channels = [chunk];
            let block = Block::new(position, &channels);
            for (point, comparators) in &mut counted {
                point.events += comparators.iter_mut().map(|c| c.count(&block)).sum::<u64>();
            }
            position = block.end();
        }
    })?;
    Ok(counted.into_iter().map(|(point, _)| point).collect())
}

/// Pulses that are longer than widths from the shortest to the longest there are, in so many steps:
/// even ones, or where the longest is many times the shortest, even in their ratio.
///
/// A pulse begins with an edge of the slope and lasts until the signal is back.
///
/// # Errors
/// As the signal.
pub fn over_widths<T: Sample, R: Replay<T, Error = Error>>(
    signal: &mut R,
    slope: Slope,
    level: Level<T>,
    steps: u16,
) -> Result<Vec<Point>, Error> {
    let (mut shortest, mut longest) = (f64::INFINITY, 0.0_f64);
    each_width(signal, slope, level, |width| {
        (shortest, longest) = (shortest.min(width), longest.max(width));
    })?;
    if longest == 0.0 {
        return Ok(Vec::new());
    }
    // A little more than there is, so that all is seen to begin and to end.
    let (from, to) = (shortest * 0.95, longest * 1.05);
    let last = f64::from(steps - 1);
    let setting = |step: u16| {
        let part = f64::from(step) / last;
        if to > 20.0 * from { from * (to / from).powf(part) } else { from + (to - from) * part }
    };
    let mut points: Vec<Point> =
        (0..steps).map(|step| Point { setting: setting(step), events: 0 }).collect();
    // Each width is put at the last setting it is over, and counts for all before.
    each_width(signal, slope, level, |width| {
        let over = points.partition_point(|point| point.setting < width);
        if let Some(point) = over.checked_sub(1).and_then(|last| points.get_mut(last)) {
            point.events += 1;
        }
    })?;
    let mut over = 0;
    for point in points.iter_mut().rev() {
        over += point.events;
        point.events = over;
    }
    Ok(points)
}

fn each_width<T: Sample, R: Replay<T, Error = Error>>(
    signal: &mut R,
    slope: Slope,
    level: Level<T>,
    mut each: impl FnMut(f64),
) -> Result<(), Error> {
    let mut comparator = Comparator::new(slope, level)?;
    let (mut position, mut begun) = (0, None::<stillwave::Instant>);
    signal.replay(|samples| {
        let channels = [samples];
        let block = Block::new(position, &channels);
        comparator.for_each(&block, |crossing| {
            if crossing.slope == slope {
                begun = Some(crossing.at);
            } else if let Some(begun) = begun.take() {
                each(crossing.at.since(begun).to_samples());
            }
        });
        position = block.end();
    })
}
