//! What a signal does at the levels of a condition.

use stillwave::near::{LevelMisses, Swing, Swings};

use super::spread::Spread;
use crate::plan::Described;
use stillwave::{
    Block, Composition, Condition, ConfigError, Configuration, Event, Level, Sample, Slope,
};

/// The swings of a channel at one level of a condition.
#[derive(Debug, Clone)]
pub(super) struct Watched<T: Sample> {
    pub(super) misses: LevelMisses<T>,
    swings: Swings<T>,
    /// Where swings in the direction that counts turn, and where they come from.
    pub(super) ends: Spread,
    pub(super) begins: Spread,
    /// Whether it is the level of `--while`, which need not be passed.
    pub(super) is_gate: bool,
}

/// All of them; runs as a condition that never fires, so that it sees what a condition sees.
#[derive(Debug, Clone)]
pub(super) struct Watch<T: Sample>(pub(super) Vec<Watched<T>>);

impl<T: Sample> Watch<T> {
    /// The levels of a condition; what swings less than `least`, in counts, is noise.
    pub(super) fn new(composition: &Composition<T>, least: f64) -> Result<Self, ConfigError> {
        let least = T::wide_from_f64(least).unwrap_or_default();
        let gate = composition.description().gate().map(|qualified| qualified.gate);
        let watched = |(slope, level): (Slope, Level<T>)| {
            let least = if level.hysteresis > least { level.hysteresis } else { least };
            Ok(Watched {
                misses: LevelMisses::new(slope, level)?,
                swings: Swings::new(least),
                ends: Spread::default(),
                begins: Spread::default(),
                is_gate: gate == Some(level),
            })
        };
        let mut levels = Vec::new();
        composition.levels(&mut |slope, level| {
            if !levels.contains(&(slope, level)) {
                levels.push((slope, level));
            }
        });
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
