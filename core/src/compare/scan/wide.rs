//! The scan for processors with vectors. Chunks that cannot change the side are skipped at the
//! speed of the memory; all others are resolved 64 samples at a time, in a time that does not
//! depend on the signal.

use fearless_simd::Level;

use super::offsets::Offsets;
use super::{Bounds, Progress, Scannable};
use crate::Slope;

/// The position of a scan in the stream, and the crossings it has found ahead.
#[derive(Clone, Debug)]
pub(in crate::compare) struct Scan {
    level: Level,
    progress: Progress,
    /// Crossings that have not been given out yet, from `base` on.
    base: u64,
    found: Offsets,
    /// The position after the last crossing given out, or after the last block.
    given: u64,
}

impl Scan {
    /// Makes a scan from the start of a stream.
    pub(in crate::compare) fn new() -> Self {
        Self::at_level(Level::try_detect().unwrap_or(Level::baseline()))
    }

    /// Does the same as [`new`](Self::new), with the vectors of one level.
    pub(super) fn at_level(level: Level) -> Self {
        let progress = Progress::default();
        Self { level, progress, base: 0, found: Offsets::new(), given: 0 }
    }

    /// Resets the scan to the start of a stream.
    pub(in crate::compare) fn reset(&mut self) {
        self.given = 0;
        self.gap();
    }

    /// Reports a gap: the side that the signal is on is no longer known, and what was found ahead
    /// is dropped.
    pub(in crate::compare) fn gap(&mut self) {
        self.found.clear();
        self.progress.seen = self.given;
        self.progress.is_high = None;
    }

    /// From where on a side has been known, and the side after the last crossing given out, or at
    /// the end of the block.
    pub(in crate::compare) fn settled(&self) -> Option<(u64, Slope)> {
        self.progress.settled()
    }

    /// If there is only one side to be on, the first sample beyond `bound` is on it for good.
    #[cold]
    pub(in crate::compare) fn settle<T: Scannable>(
        &mut self,
        start: u64,
        samples: &[T],
        side: Slope,
        bound: T,
    ) {
        self.progress.settle_for_good(start, samples, side, bound);
        self.leave(start, samples);
    }

    /// The index of the next crossing in `samples`, which are at `start`; `None` at their end.
    #[inline]
    pub(in crate::compare) fn next<T: Scannable>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
    ) -> Option<usize> {
        loop {
            while let Some(offset) = self.found.peek() {
                let position = self.base.saturating_add(u64::from(offset));
                // One that lies before the block was left behind; one after it waits.
                if let Some(index) = position.checked_sub(start) {
                    if index >= samples.len() as u64 {
                        return None;
                    }
                    self.found.take();
                    self.given = position.saturating_add(1);
                    return Some(index as usize);
                }
                self.found.take();
            }
            if !self.look_ahead(bounds, start, samples) {
                self.leave(start, samples);
                return None;
            }
        }
    }

    /// Gives the index of every crossing left in `samples`, which are at `start`.
    #[inline]
    pub(in crate::compare) fn for_each<T: Scannable>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
        mut f: impl FnMut(usize),
    ) {
        while self.found.peek().is_some() || self.look_ahead(bounds, start, samples) {
            let base = self.base.wrapping_sub(start);
            let (inside, ahead) = self.split(start, samples.len());
            for &offset in inside {
                f(base.wrapping_add(u64::from(offset)) as usize);
            }
            if self.keep_last(ahead) {
                return;
            }
        }
        self.leave(start, samples);
    }

    /// The number of crossings left in `samples`, which are at `start`.
    #[inline]
    pub(in crate::compare) fn count<T: Scannable>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
    ) -> u64 {
        let mut count = 0;
        if self.found.peek().is_some() {
            let (inside, ahead) = self.split(start, samples.len());
            count += inside.len() as u64;
            if self.keep_last(ahead) {
                return count;
            }
        }
        while let Some((_, rest)) = self.progress.rest(start, samples) {
            if let Some(is_high) = &mut self.progress.is_high {
                let level = self.level;
                count += T::count(level, rest, bounds, is_high);
                self.progress.seen = start.saturating_add(samples.len() as u64);
            } else {
                self.find_side(bounds, start, samples);
            }
        }
        self.leave(start, samples);
        count
    }

    /// Those of the crossings found that lie in a block, and the number of those after it. Ones
    /// before it were left behind.
    #[inline]
    fn split(&self, start: u64, len: usize) -> (&[u16], usize) {
        let position = |&offset: &u16| self.base.saturating_add(u64::from(offset));
        let end = start.saturating_add(len as u64);
        let found = self.found.rest();
        let behind = found.iter().take_while(|offset| position(offset) < start).count();
        let ahead = found.iter().rev().take_while(|offset| position(offset) >= end).count();
        (found.get(behind..found.len() - ahead).unwrap_or(&[]), ahead)
    }

    /// Keeps only the last crossings found; returns whether there are any.
    #[inline]
    fn keep_last(&mut self, count: usize) -> bool {
        self.found.keep_last(count);
        count > 0
    }

    /// Finds the next crossings; `false` if the samples hold no more.
    fn look_ahead<T: Scannable>(&mut self, bounds: Bounds<T>, start: u64, samples: &[T]) -> bool {
        self.found.clear();
        while let Some((first, rest)) = self.progress.rest(start, samples) {
            let Some(is_high) = &mut self.progress.is_high else {
                self.find_side(bounds, start, samples);
                continue;
            };
            let (level, found) = (self.level, &mut self.found);
            let seen = T::list(level, rest, bounds, is_high, found);
            self.base = first;
            self.progress.seen = first.saturating_add(seen as u64);
            if self.found.peek().is_some() {
                return true;
            }
        }
        false
    }

    /// Goes to the first sample that is on a side; the first side is not a crossing.
    #[cold]
    fn find_side<T: Scannable>(&mut self, bounds: Bounds<T>, start: u64, samples: &[T]) {
        if let Some((first, rest)) = self.progress.rest(start, samples) {
            let level = self.level;
            let side = T::first_side(level, rest, bounds);
            let index = side.map_or(rest.len(), |(index, _)| index);
            self.progress.seen = first.saturating_add(index as u64);
            if let Some((_, is_high)) = side {
                self.progress.settle(self.progress.seen, is_high);
            }
        }
    }

    #[inline]
    fn leave<T>(&mut self, start: u64, samples: &[T]) {
        self.progress.seen = self.progress.seen.max(start.saturating_add(samples.len() as u64));
        self.given = self.progress.seen;
    }
}
