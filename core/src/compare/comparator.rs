//! The latch: which side of a level the signal is on.

use super::scan::{Bounds, Scan};
use super::{Crossing, Flip, Level, Slope};
use crate::{Block, ConfigError, Sample};

/// Finds where a signal passes a level in one direction, and where it has gone back far enough to
/// pass it again.
///
/// With the level L and the hysteresis h, a rising comparator is
/// - high from the first sample x ≥ L on (its crossing lies where the signal passes L),
/// - low from the first sample x < L − h on (where the signal passes L − h).
///
/// A falling comparator is the mirror: low from x ≤ L on, high from x > L + h on. The side on which
/// the stream begins, or comes back after a gap, is not a crossing. Samples that are not finite are
/// on no side and change nothing.
///
/// Crossings alternate and come in order of position. They do not depend on how the stream is split
/// into blocks.
///
/// Levels are in the samples' own unit, and instants are in samples.
///
/// ```
/// use stillwave::{Block, Comparator, Level, Slope};
/// let mut comparator = Comparator::new(Slope::Rising, Level::<u8>::new(100, 50)?)?;
/// let channels: [&[u8]; 1] = [&[0, 200, 60, 120, 40]];
/// let mut found = Vec::new();
/// comparator.for_each(&Block::new(0, &channels), |c| found.push((c.slope, c.at.samples())));
/// // Up through 100, down through 50: 60 was not far enough.
/// assert_eq!(found, [(Slope::Rising, 0.5), (Slope::Falling, 3.875)]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Comparator<T: Sample> {
    bounds: Bounds<T>,
    /// The slope that passes the level itself.
    slope: Slope,
    reach: Reach,
    channel: u8,
    scan: Scan,
    /// The last sample of the last block, and the position after it.
    previous: Option<T>,
    end: u64,
}

/// Which sides samples can be on; a level may be beyond all of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    Both,
    Only(Slope),
    Neither,
}

impl<T: Sample> Comparator<T> {
    /// Makes a comparator whose `slope` passes `level` itself. The other slope passes it less the
    /// hysteresis (`slope` rising) or plus it (falling).
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn new(slope: Slope, level: Level<T>) -> Result<Self, ConfigError> {
        let Level { level, hysteresis, channel } = level.validated()?;
        let (high, low) = match slope {
            Slope::Rising => (T::at_or_over(level), T::under(T::saturating_sub(level, hysteresis))),
            Slope::Falling => {
                (T::over(T::saturating_add(level, hysteresis)), T::at_or_under(level))
            }
        };
        Ok(Self {
            bounds: Bounds {
                high: high.unwrap_or(T::MAX),
                low: low.unwrap_or(T::MIN),
                wanted: None,
            },
            slope,
            reach: match (high, low) {
                (Some(_), Some(_)) => Reach::Both,
                (Some(_), None) => Reach::Only(Slope::Rising),
                (None, Some(_)) => Reach::Only(Slope::Falling),
                (None, None) => Reach::Neither,
            },
            channel,
            scan: Scan::new(),
            previous: None,
            end: 0,
        })
    }

    /// Returns the comparator changed so that it gives only the crossings that pass the level
    /// itself.
    #[must_use]
    pub fn only_passages(mut self) -> Self {
        self.bounds.wanted = Some(self.slope);
        self
    }

    /// Forgets the stream: the comparator is as new.
    pub fn reset(&mut self) {
        self.scan.reset();
        self.previous = None;
        self.end = 0;
    }

    /// Reports that samples were lost: the side that the signal is on is no longer known.
    pub fn gap(&mut self) {
        self.scan.gap();
        self.previous = None;
    }

    /// Returns the next crossing in `block`, or `None` at its end. Call it until then, block by
    /// block; samples of `block` that it has already seen are skipped.
    #[inline]
    pub fn next(&mut self, block: &Block<'_, T>) -> Option<Crossing> {
        self.next_flip(block).map(Flip::crossing)
    }

    /// Calls `f` for every crossing left in `block`, as [`next`](Self::next) to its end would; this
    /// is faster when there are many crossings.
    #[inline]
    pub fn for_each(&mut self, block: &Block<'_, T>, mut f: impl FnMut(Crossing)) {
        self.for_each_flip(block, |flip| f(flip.crossing()));
    }

    /// Does the same as [`next`](Self::next), without the instant.
    #[inline]
    pub(crate) fn next_flip(&mut self, block: &Block<'_, T>) -> Option<Flip<T>> {
        let view = self.view(block);
        let index = self.scan.next(self.bounds, view.start, view.samples);
        if index.is_none() {
            self.leave(block.end(), view.samples);
        }
        index.map(|index| view.flip(index))
    }

    /// Does the same as [`for_each`](Self::for_each), without the instants.
    #[inline]
    pub(crate) fn for_each_flip(&mut self, block: &Block<'_, T>, mut f: impl FnMut(Flip<T>)) {
        let view = self.view(block);
        self.scan.for_each(self.bounds, view.start, view.samples, |i| f(view.flip(i)));
        self.leave(block.end(), view.samples);
    }

    /// Does the same as [`for_each`](Self::for_each), for the crossings whose position `accept`
    /// accepts. Nothing is computed for the others.
    #[inline]
    pub(crate) fn for_each_accepted(
        &mut self,
        block: &Block<'_, T>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Crossing),
    ) {
        let view = self.view(block);
        self.scan.for_each(self.bounds, view.start, view.samples, |i| {
            if accept(view.position(i)) {
                f(view.flip(i).crossing());
            }
        });
        self.leave(block.end(), view.samples);
    }

    /// Counts the crossings left in `block`, as [`next`](Self::next) to its end would. The speed
    /// hardly depends on how many there are.
    #[inline]
    pub fn count(&mut self, block: &Block<'_, T>) -> u64 {
        let view = self.view(block);
        let count = self.scan.count(self.bounds, view.start, view.samples);
        self.leave(block.end(), view.samples);
        count
    }

    /// The position from which on a side has been known, since the start or the last gap, and the
    /// side that the signal is on after the samples seen so far. The side is named by the slope
    /// that leads into it. If the comparator has just given a crossing, only the position is valid.
    #[inline]
    pub(crate) fn settled(&self) -> Option<(u64, Slope)> {
        self.scan.settled()
    }

    /// The slope that passes the level itself.
    #[inline]
    pub fn slope(&self) -> Slope {
        self.slope
    }

    #[inline]
    fn view<'a>(&mut self, block: &Block<'a, T>) -> View<'a, T> {
        let mut samples = block.channel(usize::from(self.channel));
        if self.reach != Reach::Both {
            self.settle_for_good(block.start(), samples);
            samples = &[];
        }
        View {
            start: block.start(),
            samples,
            // Where the stream was joined anew, the sample before is not known.
            before: if block.start() == self.end { self.previous } else { None },
            bounds: self.bounds,
            slope: self.slope,
        }
    }

    /// If one side is out of reach, there is no crossing; once on the other, the signal stays
    /// there.
    #[cold]
    fn settle_for_good(&mut self, start: u64, samples: &[T]) {
        if let Reach::Only(side) = self.reach {
            let bound = match side {
                Slope::Rising => self.bounds.high,
                Slope::Falling => self.bounds.low,
            };
            self.scan.settle(start, samples, side, bound);
        }
    }

    #[inline]
    fn leave(&mut self, end: u64, samples: &[T]) {
        if let Some(&last) = samples.last()
            && end > self.end
        {
            self.end = end;
            self.previous = Some(last);
        }
    }
}

/// One channel of a block, with what is needed to describe a crossing.
#[derive(Clone, Copy)]
struct View<'a, T> {
    start: u64,
    samples: &'a [T],
    /// The sample before the first one.
    before: Option<T>,
    bounds: Bounds<T>,
    /// The slope that passes the level itself.
    slope: Slope,
}

impl<T: Sample> View<'_, T> {
    /// What happens at a sample. It has no side effect, so that a caller that needs only the
    /// position does not pay for the rest.
    #[inline]
    fn flip(&self, index: usize) -> Flip<T> {
        let Bounds { high, wanted, .. } = self.bounds;
        let this = self.samples.get(index).copied().unwrap_or(high);
        let seen = if this >= high { Slope::Rising } else { Slope::Falling };
        let slope = wanted.unwrap_or(seen);
        let previous = match index.checked_sub(1) {
            Some(before) => self.samples.get(before).copied(),
            None => self.before,
        };
        let position = self.position(index);
        Flip { slope, position, this, previous, level: self.level(slope) }
    }

    #[inline]
    fn position(&self, index: usize) -> u64 {
        self.start.wrapping_add(index as u64)
    }

    /// The level that a slope passes.
    #[inline]
    fn level(&self, slope: Slope) -> T {
        let Bounds { high, low, .. } = self.bounds;
        match (self.slope, slope) {
            (Slope::Rising, Slope::Rising) => high,
            (Slope::Rising, Slope::Falling) => low.successor(),
            (Slope::Falling, Slope::Rising) => high.predecessor(),
            (Slope::Falling, Slope::Falling) => low,
        }
    }
}
