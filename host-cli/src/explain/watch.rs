//! What a signal does at the levels of a condition.

use stillwave::near::{LevelMisses, Swing, Swings};
use stillwave::{
    Block, Composition, Condition, ConfigError, CountSince, EdgeSlope, Event, Level, LineState,
    PulsePolarity, Sample, Setup, Slope,
};

use super::spread::Spread;

/// The swings of a channel at one level of a condition.
#[derive(Debug, Clone)]
pub(super) struct Watched<T: Sample> {
    pub(super) misses: LevelMisses<T>,
    swings: Swings<T>,
    /// Where swings in the direction that counts turn, and where they come from.
    pub(super) ends: Spread,
    pub(super) begins: Spread,
}

/// All of them; runs as a condition that never fires, so that it sees what a condition sees.
#[derive(Debug, Clone)]
pub(super) struct Watch<T: Sample>(pub(super) Vec<Watched<T>>);

impl<T: Sample> Watch<T> {
    /// The levels of a condition; what swings less than `least`, in counts, is noise.
    pub(super) fn new(composition: &Composition<T>, least: f64) -> Result<Self, ConfigError> {
        let least = T::wide_from_f64(least).unwrap_or_default();
        let watched = |(slope, level): (Slope, Level<T>)| {
            let least = if level.hysteresis > least { level.hysteresis } else { least };
            Ok(Watched {
                misses: LevelMisses::new(slope, level)?,
                swings: Swings::new(least),
                ends: Spread::default(),
                begins: Spread::default(),
            })
        };
        let mut levels = Vec::new();
        for level in of_composition(composition) {
            if !levels.contains(&level) {
                levels.push(level);
            }
        }
        Ok(Self(levels.into_iter().map(watched).collect::<Result<_, _>>()?))
    }

    /// Takes the swings under way for complete.
    pub(super) fn finish(&mut self) {
        for watched in &mut self.0 {
            if let Some(swing) = watched.swings.last() {
                watched.see(swing);
            }
        }
    }
}

impl<T: Sample> Watched<T> {
    /// The smallest and the largest sample.
    pub(super) fn covered(&self) -> Option<(f64, f64)> {
        self.swings.covered().map(|(low, high)| (number(low), number(high)))
    }

    fn see(&mut self, swing: Swing<T>) {
        self.misses.see(swing);
        if (swing.to > swing.from) == (self.misses.slope() == Slope::Rising) {
            self.ends.add(number(swing.to));
            self.begins.add(number(swing.from));
        }
    }
}

fn number<T: Sample>(x: T) -> f64 {
    T::wide_to_f64(x.widen())
}

impl<T: Sample> Condition for Watch<T> {
    type Sample = T;

    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        for watched in &mut self.0 {
            let samples = block.channel(watched.misses.level().channel.into());
            // A block is asked for until it gives nothing: once.
            let mut found = Vec::new();
            watched.swings.push(block.start(), samples, |swing| found.push(swing));
            for swing in found {
                watched.see(swing);
            }
        }
        None
    }

    fn gap(&mut self) {
        self.0.iter_mut().for_each(|watched| watched.swings.gap());
    }

    fn reset(&mut self) {
        self.0.iter_mut().for_each(|watched| watched.swings.reset());
    }
}

/// The levels of a condition, each with the directions in which it must be passed.
fn of_composition<T: Sample>(composition: &Composition<T>) -> Vec<(Slope, Level<T>)> {
    let line = |level: &Level<T>| vec![(Slope::Rising, *level)];
    match composition {
        Composition::Single(setup) => of_setup(setup),
        Composition::Delay { from, to, .. } => [of_setup(from), of_setup(to)].concat(),
        Composition::Count { of, since: CountSince::Other(other), .. } => {
            [of_setup(of), of_setup(other)].concat()
        }
        Composition::Count { of, .. } => of_setup(of),
        Composition::Sequence { first, then, .. } => [of_setup(first), of_setup(then)].concat(),
        Composition::SetupHold { clock, data, .. } => [of_setup(clock), of_setup(data)].concat(),
        Composition::Qualified { of, gate, .. } => [of_setup(of), line(gate)].concat(),
        Composition::Uart { level, .. } => line(level),
        // Pulses of a picture signal point down.
        Composition::Video { level, .. } => vec![(Slope::Falling, *level)],
        Composition::I2c { clock, data, .. } => [line(clock), line(data)].concat(),
        Composition::Spi { clock, data, select, .. } => {
            [line(clock), line(data), line(select)].concat()
        }
        Composition::Pattern { lines, .. } => lines
            .iter()
            .filter(|line| line.state != LineState::Ignored)
            .map(|line| (Slope::Rising, line.level))
            .collect(),
        _ => Vec::new(),
    }
}

fn of_setup<T: Sample>(setup: &Setup<T>) -> Vec<(Slope, Level<T>)> {
    match setup {
        Setup::Edge { slope, level }
        | Setup::Interval { slope, level, .. }
        | Setup::Dropout { slope, level, .. } => both(*slope, *level),
        Setup::Pulse { polarity, level, .. } => both(begins(*polarity), *level),
        Setup::Transition { slope, band, .. } => {
            [both(*slope, band.lower()), both(*slope, band.upper())].concat()
        }
        // By turns the level that it passes, and that which it must not.
        Setup::Runt { polarity, band, .. } => {
            let up = [(Slope::Rising, band.lower()), (Slope::Rising, band.upper())];
            let down = [(Slope::Falling, band.upper()), (Slope::Falling, band.lower())];
            match polarity {
                PulsePolarity::Positive => up.to_vec(),
                PulsePolarity::Negative => down.to_vec(),
                PulsePolarity::Either => [up, down].concat(),
            }
        }
        Setup::Window { band, .. } => {
            vec![(Slope::Rising, band.upper()), (Slope::Falling, band.lower())]
        }
        _ => Vec::new(),
    }
}

fn begins(polarity: PulsePolarity) -> EdgeSlope {
    match polarity {
        PulsePolarity::Positive => EdgeSlope::Rising,
        PulsePolarity::Negative => EdgeSlope::Falling,
        PulsePolarity::Either => EdgeSlope::Either,
    }
}

fn both<T: Sample>(slope: EdgeSlope, level: Level<T>) -> Vec<(Slope, Level<T>)> {
    match slope {
        EdgeSlope::Rising => vec![(Slope::Rising, level)],
        EdgeSlope::Falling => vec![(Slope::Falling, level)],
        EdgeSlope::Either => vec![(Slope::Rising, level), (Slope::Falling, level)],
    }
}
