//! The scan for processors without vectors: for one side, then for the other.

use super::words::{Words, pass};
use super::{Bounds, Progress, Scannable};
use crate::Slope;

/// The position of a scan in the stream.
#[derive(Clone, Debug)]
pub(in crate::compare) struct Scan {
    progress: Progress,
}

impl Scan {
    /// Makes a scan from the start of a stream.
    pub(in crate::compare) fn new() -> Self {
        Self { progress: Progress::default() }
    }

    /// Resets the scan to the start of a stream.
    pub(in crate::compare) fn reset(&mut self) {
        *self = Self::new();
    }

    /// Reports a gap: the side that the signal is on is no longer known.
    #[inline]
    pub(in crate::compare) fn gap(&mut self) {
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
    }

    /// The index of the next crossing in `samples`, which are at `start`; `None` at their end.
    #[inline]
    pub(in crate::compare) fn next<T: Words>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
    ) -> Option<usize> {
        let mut left = self.enter(bounds, start, samples);
        let mut found = None;
        if let Some(is_high) = &mut self.progress.is_high {
            while found.is_none() && pass_on(is_high, bounds, &mut left) {
                if bounds.wants(*is_high) {
                    found = (samples.len() - left.len()).checked_sub(1);
                }
            }
        }
        self.leave(start, samples.len() - left.len());
        found
    }

    /// Gives the index of every crossing left in `samples`, which are at `start`.
    #[inline]
    pub(in crate::compare) fn for_each<T: Words>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
        mut f: impl FnMut(usize),
    ) {
        let mut left = self.enter(bounds, start, samples);
        if let Some(mut is_high) = self.progress.is_high {
            while pass_on(&mut is_high, bounds, &mut left) {
                if bounds.wants(is_high) {
                    f(samples.len() - left.len() - 1);
                }
            }
            self.progress.is_high = Some(is_high);
        }
        self.leave(start, samples.len());
    }

    /// The number of crossings left in `samples`, which are at `start`.
    #[inline]
    pub(in crate::compare) fn count<T: Words>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &[T],
    ) -> u64 {
        let mut count = 0;
        self.for_each(bounds, start, samples, |_| count += 1);
        count
    }

    /// The part of `samples`, which are at `start`, that has not been scanned and is after the
    /// point where the first side is known.
    #[inline]
    fn enter<'a, T: Words>(&mut self, bounds: Bounds<T>, start: u64, samples: &'a [T]) -> &'a [T] {
        let Some((first, rest)) = self.progress.rest(start, samples) else { return &[] };
        match self.progress.is_high {
            Some(_) => rest,
            None => self.settle_first(bounds, first, rest),
        }
    }

    #[inline]
    fn leave(&mut self, start: u64, looked_at: usize) {
        self.progress.seen = self.progress.seen.max(start.wrapping_add(looked_at as u64));
    }

    /// Finds the first side in `samples`, which are at `start`, and returns the samples after it.
    #[cold]
    fn settle_first<'a, T: Words>(
        &mut self,
        bounds: Bounds<T>,
        start: u64,
        samples: &'a [T],
    ) -> &'a [T] {
        let Bounds { high, low, .. } = bounds;
        // Most often that is the very first sample.
        let before_low = match samples.first() {
            Some(first) if first.is_beyond(Slope::Falling, low) => 0,
            _ => {
                let before_high = T::before_beyond(samples, Slope::Rising, high);
                let reach = samples.get(..before_high).unwrap_or(samples);
                T::before_beyond(reach, Slope::Falling, low)
            }
        };
        let Some(&x) = samples.get(before_low) else { return &[] };
        let is_high = x.is_beyond(Slope::Rising, high);
        self.progress.settle(start.wrapping_add(before_low as u64), is_high);
        samples.get(before_low + 1..).unwrap_or(&[])
    }
}

/// Moves `left` past the next crossing, and the signal to the other side; `false` if there is none.
#[inline]
fn pass_on<T: Words>(is_high: &mut bool, bounds: Bounds<T>, left: &mut &[T]) -> bool {
    let passed = if *is_high {
        pass(left, Slope::Falling, bounds.low)
    } else {
        pass(left, Slope::Rising, bounds.high)
    };
    *is_high ^= passed;
    passed
}
