//! What the knobs set, as a plain value.

use serde::{Deserialize, Serialize};
use stillwave::{ConfigError, EdgeConfig, EdgeSlope, Holdoff, Level, RecordShape, Setup};

use crate::FrontEnd;
use crate::capture::Arrangement;
use crate::steps::{DIVISIONS_ACROSS, DIVISIONS_BEFORE, HOLDOFFS_US, TIMES_US, VOLTS_MV};

/// What it waits for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Mode {
    /// An event; where none comes, the picture goes on without.
    #[default]
    Auto,
    /// Events alone.
    Normal,
    /// One event, then stop.
    Single,
}

/// All that a person sets. Volts are at the probe's tip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Settings {
    /// The trigger's level, mV.
    pub level_mv: i32,
    /// How far the signal must go back before the next edge, mV.
    pub hysteresis_mv: u32,
    /// Which edges count.
    pub slope: EdgeSlope,
    /// Events within so many µs of the last accepted one are held off; 0 for none.
    pub holdoff_us: u32,
    /// µs a division.
    pub time_us: u32,
    /// mV a division.
    pub volts_mv: u32,
    /// The voltage in the middle of the screen, mV.
    pub centre_mv: i32,
    /// What it waits for.
    pub mode: Mode,
}

impl Default for Settings {
    fn default() -> Self {
        Self::DEFAULT
    }
}

/// The farthest that a level or the screen's middle goes, mV.
pub const FARTHEST_MV: i32 = 100_000;

impl Settings {
    /// What is set at first.
    pub const DEFAULT: Self = Self {
        level_mv: 0,
        hysteresis_mv: 200,
        slope: EdgeSlope::Rising,
        holdoff_us: 0,
        time_us: 1_000,
        volts_mv: 5_000,
        centre_mv: 0,
        mode: Mode::Auto,
    };

    /// The nearest settings that the knobs could reach: what came from a link or from memory.
    #[must_use]
    pub fn within_reach(self, longest_us: u32) -> Self {
        let longest = TIMES_US.iter().rev().find(|&&time| time <= longest_us);
        Self {
            level_mv: self.level_mv.clamp(-FARTHEST_MV, FARTHEST_MV),
            hysteresis_mv: self.hysteresis_mv.min(FARTHEST_MV as u32),
            holdoff_us: self.holdoff_us.min(HOLDOFFS_US[HOLDOFFS_US.len() - 1]),
            time_us: self.time_us.clamp(TIMES_US[0], longest.copied().unwrap_or(TIMES_US[0])),
            volts_mv: self.volts_mv.clamp(VOLTS_MV[0], VOLTS_MV[VOLTS_MV.len() - 1]),
            centre_mv: self.centre_mv.clamp(-FARTHEST_MV, FARTHEST_MV),
            ..self
        }
    }

    /// The same for the engine.
    ///
    /// # Errors
    /// A value that the engine refuses.
    pub fn arrangement(&self, front: &FrontEnd) -> Result<Arrangement, ConfigError> {
        let (level, slope) = (front.counts(self.level_mv), self.slope);
        let level = Level::<u16>::new(level, front.count_difference(self.hysteresis_mv))?;
        let before = front.samples(self.time_us * DIVISIONS_BEFORE);
        let after = front.samples(self.time_us * (DIVISIONS_ACROSS - DIVISIONS_BEFORE));
        // A sample more on either side, so that the line reaches both edges of the screen.
        let shape = RecordShape::new(before as usize + 1, after as usize + 1)?;
        let mode = match self.mode {
            // Twenty pictures a second, or fewer where they take longer.
            Mode::Auto => {
                stillwave::Mode::Auto { after: front.samples(50_000).max(before + after) }
            }
            Mode::Normal => stillwave::Mode::Normal,
            Mode::Single => stillwave::Mode::Single,
        };
        let holdoff = match self.holdoff_us {
            0 => Holdoff::None,
            time => Holdoff::Samples(front.samples(time)),
        };
        Ok(Arrangement { setup: Setup::Edge(EdgeConfig { slope, level }), holdoff, shape, mode })
    }
}

#[cfg(test)]
mod tests {
    use super::{Mode, Settings};
    use crate::FrontEnd;
    use stillwave::{EdgeConfig, EdgeSlope, Holdoff, Level, RecordShape, Setup};

    #[test]
    fn settings_become_counts_and_samples() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        let settings = Settings { holdoff_us: 2_000, mode: Mode::Normal, ..Settings::default() };
        let found = settings.arrangement(&front).unwrap();
        let level = Level::new(2_065, 19).unwrap();
        assert_eq!(found.setup, Setup::Edge(EdgeConfig { slope: EdgeSlope::Rising, level }));
        assert_eq!(found.holdoff, Holdoff::Samples(1_000));
        assert_eq!(found.shape, RecordShape { pre: 1_001, post: 3_001 });
        assert_eq!(found.mode, stillwave::Mode::Normal);
    }

    #[test]
    fn what_no_knob_reaches_is_brought_near() {
        let wild = Settings {
            level_mv: i32::MIN,
            hysteresis_mv: u32::MAX,
            holdoff_us: u32::MAX,
            time_us: u32::MAX,
            volts_mv: 0,
            centre_mv: i32::MAX,
            ..Settings::default()
        };
        let tame = wild.within_reach(10_000);
        assert_eq!((tame.time_us, tame.volts_mv, tame.holdoff_us), (10_000, 50, 2_000_000));
        tame.arrangement(&FrontEnd::of_diagram(500_000).unwrap()).unwrap();
    }
}
