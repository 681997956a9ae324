//! The latch: which side of a level the signal is on.

use super::{Level, scan};
use crate::{Block, ConfigError, Instant, Sample};

/// A direction through a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Slope {
    /// From below to at or over the level.
    Rising,
    /// From above to at or under the level.
    Falling,
}

impl Slope {
    /// The other direction.
    #[inline]
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Rising => Self::Falling,
            Self::Falling => Self::Rising,
        }
    }
}

/// The signal has changed sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Crossing {
    /// Into which side.
    pub slope: Slope,
    /// When.
    pub at: Instant,
}

/// Finds where a signal passes a level in one direction, and where it has gone back far enough to
/// pass it again.
///
/// With the level L and the hysteresis h, a rising comparator is
/// - high from the first sample x ≥ L on (its crossing lies where the signal passes L),
/// - low from the first sample x < L − h on (where the signal passes L − h);
///
/// a falling one is the mirror: low from x ≤ L on, high from x > L + h on. Which side the stream
/// begins on, or comes back on after a gap, is no crossing. Samples that are not finite are on no
/// side and change nothing.
///
/// Crossings alternate and come in order of position, the same for every way of cutting the
/// stream into blocks.
#[derive(Clone, Debug)]
pub struct Comparator<T: Sample> {
    /// High from `x >= high` on, low from `x <= low` on; low < high.
    high: T,
    low: T,
    /// The slope that passes the level itself.
    slope: Slope,
    reach: Reach,
    channel: u8,
    /// The side the signal is on, named by the slope that leads into it.
    side: Option<Slope>,
    /// Where the side was first known; of no meaning while it is not.
    settled: u64,
    /// The position of the next sample to look at, and the sample before it.
    next: u64,
    previous: Option<T>,
}

/// The sides that samples can be on: a level may lie beyond all of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    Both,
    Only(Slope),
    Neither,
}

impl<T: Sample> Comparator<T> {
    /// A comparator whose `slope` passes `level` itself, and whose other slope passes it less or
    /// more the hysteresis.
    ///
    /// # Errors
    /// As [`Level::new`].
    pub fn new(slope: Slope, level: Level<T>) -> Result<Self, ConfigError> {
        let Level { level, hysteresis, channel } = level.validated()?;
        let (high, low) = match slope {
            Slope::Rising => (T::at_or_over(level), T::under(T::saturating_sub(level, hysteresis))),
            Slope::Falling => {
                (T::over(T::saturating_add(level, hysteresis)), T::at_or_under(level))
            }
        };
        Ok(Self {
            high: high.unwrap_or(T::MAX),
            low: low.unwrap_or(T::MIN),
            slope,
            reach: match (high, low) {
                (Some(_), Some(_)) => Reach::Both,
                (Some(_), None) => Reach::Only(Slope::Rising),
                (None, Some(_)) => Reach::Only(Slope::Falling),
                (None, None) => Reach::Neither,
            },
            channel,
            side: None,
            settled: 0,
            next: 0,
            previous: None,
        })
    }

    /// Forgets the stream: as new.
    pub fn reset(&mut self) {
        self.gap();
        self.next = 0;
    }

    /// Samples were lost: which side the signal is on is no longer known.
    #[inline]
    pub fn gap(&mut self) {
        self.side = None;
        self.previous = None;
    }

    /// The next crossing in `block`, or `None` at its end. Call it until then, block by block;
    /// samples of `block` that were seen before are passed over.
    #[inline]
    pub fn next(&mut self, block: &Block<'_, T>) -> Option<Crossing> {
        let samples = block.channel(usize::from(self.channel));
        let mut index = if let Some(index) = self.next.checked_sub(block.start()) {
            index as usize
        } else {
            // The stream was joined here: the sample before is not known.
            self.previous = None;
            0
        };
        if self.reach != Reach::Both {
            self.settle_for_good(samples, index, block.start());
            index = samples.len();
        }
        while index < samples.len() {
            let found = match self.side {
                Some(Slope::Rising) => scan::first_under(samples, index, self.low),
                Some(Slope::Falling) => scan::first_over(samples, index, self.high),
                None => scan::first_beyond(samples, index, self.low, self.high),
            };
            let Some((found, this)) = found.and_then(|i| Some((i, *samples.get(i)?))) else {
                break;
            };
            let slope = if this >= self.high { Slope::Rising } else { Slope::Falling };
            let known = self.side.replace(slope).is_some();
            index = found + 1;
            if known {
                self.next = block.start() + index as u64;
                let previous = match found.checked_sub(1) {
                    Some(before) => samples.get(before).copied(),
                    None => self.previous,
                };
                let lead = previous.map_or(0, |p| T::lead(p, this, self.threshold(slope)));
                let at = Instant { position: self.next - 1, lead };
                return Some(Crossing { slope, at });
            }
            self.settled = block.start() + found as u64;
        }
        // Also where the last sample was itself a crossing: the next block begins after it.
        if block.end() >= self.next {
            self.next = block.end();
            self.previous = samples.last().copied().or(self.previous);
        }
        None
    }

    /// Where a side is out of reach there is no crossing; once on the other, the signal stays.
    #[cold]
    fn settle_for_good(&mut self, samples: &[T], index: usize, start: u64) {
        let found = match (self.side, self.reach) {
            (None, Reach::Only(Slope::Rising)) => scan::first_over(samples, index, self.high),
            (None, Reach::Only(Slope::Falling)) => scan::first_under(samples, index, self.low),
            _ => None,
        };
        if let (Some(found), Reach::Only(slope)) = (found, self.reach) {
            self.side = Some(slope);
            self.settled = start + found as u64;
        }
    }

    /// The side the signal is on after what has been looked at, named by the slope that leads into
    /// it, and the position from which on a side has been known: since the start or the last gap.
    #[inline]
    pub(crate) fn settled(&self) -> Option<(u64, Slope)> {
        self.side.map(|side| (self.settled, side))
    }

    /// The slope that passes the level itself.
    #[inline]
    pub fn slope(&self) -> Slope {
        self.slope
    }

    /// The level that a slope passes.
    #[inline]
    fn threshold(&self, slope: Slope) -> T {
        match (self.slope, slope) {
            (Slope::Rising, Slope::Rising) => self.high,
            (Slope::Rising, Slope::Falling) => self.low.successor(),
            (Slope::Falling, Slope::Rising) => self.high.predecessor(),
            (Slope::Falling, Slope::Falling) => self.low,
        }
    }
}
