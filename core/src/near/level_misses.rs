//! Swings that did not pass a level as they should have.

use super::Swing;
use crate::{ConfigError, Level, Sample, Slope};

/// A swing that came close to passing.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LevelMiss<T: Sample> {
    /// The sample at which the swing turned.
    pub at: u64,
    /// The amount by which it missed, in the samples' unit.
    pub lacked: T::Wide,
}

/// Classifies swings in one direction by what they do at a level, and keeps the closest misses.
///
/// Upwards, a swing misses *short* if it turns before the level. It misses *unarmed* if it passes
/// the level without having come from below L − h. A swing that begins at or above the level is
/// *beyond*. Downwards is the mirror.
///
/// ```
/// use stillwave::near::{LevelMisses, Swing};
/// use stillwave::{Level, Slope};
/// let mut misses = LevelMisses::new(Slope::Rising, Level::<u8>::new(100, 20)?)?;
/// misses.see(Swing { from: 10, to: 97, at: 5 });
/// misses.see(Swing { from: 95, to: 200, at: 9 });
/// assert_eq!(misses.nearest_short().map(|miss| (miss.at, miss.lacked)), Some((5, 3)));
/// assert_eq!(misses.nearest_unarmed().map(|miss| (miss.at, miss.lacked)), Some((9, 16)));
/// assert_eq!((misses.short(), misses.unarmed(), misses.passed()), (1, 1, 0));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct LevelMisses<T: Sample> {
    slope: Slope,
    level: Level<T>,
    passed: u64,
    short: u64,
    unarmed: u64,
    beyond: u64,
    nearest_short: Option<LevelMiss<T>>,
    nearest_unarmed: Option<LevelMiss<T>>,
}

impl<T: Sample> LevelMisses<T> {
    /// Makes a count of swings in the direction of `slope`, at `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn new(slope: Slope, level: Level<T>) -> Result<Self, ConfigError> {
        let level = level.validated()?;
        let (passed, short, unarmed, beyond) = (0, 0, 0, 0);
        let (nearest_short, nearest_unarmed) = (None, None);
        Ok(Self { slope, level, passed, short, unarmed, beyond, nearest_short, nearest_unarmed })
    }

    /// Counts a swing; those in the other direction are ignored.
    pub fn see(&mut self, swing: Swing<T>) {
        let rises = swing.to > swing.from;
        if rises != (self.slope == Slope::Rising) {
            return;
        }
        let Level { level, hysteresis, .. } = self.level;
        let (from, to) = (swing.from.widen(), swing.to.widen());
        // How far it is from arming, and from passing: nothing or less where it does.
        let (to_arm, to_pass, is_armed, is_beyond) = if rises {
            let arms = T::saturating_sub(level, hysteresis);
            let to_arm = T::saturating_sub(from, arms);
            (
                T::saturating_add(to_arm, T::STEP),
                T::saturating_sub(level, to),
                from < arms,
                from >= level,
            )
        } else {
            let arms = T::saturating_add(level, hysteresis);
            let to_arm = T::saturating_sub(arms, from);
            (
                T::saturating_add(to_arm, T::STEP),
                T::saturating_sub(to, level),
                from > arms,
                from <= level,
            )
        };
        let nearer = |kept: &Option<LevelMiss<T>>, lacked| kept.is_none_or(|k| lacked < k.lacked);
        if is_beyond {
            self.beyond += 1;
        } else if to_pass > T::ZERO {
            self.short += 1;
            if nearer(&self.nearest_short, to_pass) {
                self.nearest_short = Some(LevelMiss { at: swing.at, lacked: to_pass });
            }
        } else if is_armed {
            self.passed += 1;
        } else {
            self.unarmed += 1;
            if nearer(&self.nearest_unarmed, to_arm) {
                self.nearest_unarmed = Some(LevelMiss { at: swing.at, lacked: to_arm });
            }
        }
    }

    /// The direction that counts.
    pub fn slope(&self) -> Slope {
        self.slope
    }

    /// The level.
    pub fn level(&self) -> Level<T> {
        self.level
    }

    /// The number of swings that passed the level, armed.
    pub fn passed(&self) -> u64 {
        self.passed
    }

    /// The number of swings that turned before the level.
    pub fn short(&self) -> u64 {
        self.short
    }

    /// The number of swings that passed the level but had not come from beyond the hysteresis.
    pub fn unarmed(&self) -> u64 {
        self.unarmed
    }

    /// The number of swings that began beyond the level.
    pub fn beyond(&self) -> u64 {
        self.beyond
    }

    /// Of the swings that turned before the level, the closest one; of several equally close, the
    /// first.
    pub fn nearest_short(&self) -> Option<LevelMiss<T>> {
        self.nearest_short
    }

    /// Of the swings that were not armed, the one closest to being so; of several, the first.
    pub fn nearest_unarmed(&self) -> Option<LevelMiss<T>> {
        self.nearest_unarmed
    }
}
