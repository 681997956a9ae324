//! The search for crossings in a run of samples, as fast as the machine allows.
//!
//! One interface, [`Scan`], has two implementations. On processors with vectors (`cfg(vectors)`,
//! from build.rs), samples are compared 64 at a time and the latch is resolved for all of them by
//! one addition ([`wide`]). On others, samples are checked one after the other, by words
//! ([`narrow`]). Both hold the side that the signal is on and how far the stream has been scanned,
//! and give the same crossings.

// The kernels must become one function for each set of processor features, whatever they weigh.
#![cfg_attr(vectors, allow(clippy::inline_always))]

#[cfg(vectors)]
mod first;
#[cfg(vectors)]
mod kernels;
#[cfg(vectors)]
mod lanes;
#[cfg(vectors)]
mod latch;
#[cfg(any(test, not(vectors)))]
mod narrow;
#[cfg(vectors)]
mod offsets;
#[cfg(any(test, not(vectors)))]
mod packed;
#[cfg(vectors)]
mod wide;
#[cfg(any(test, not(vectors)))]
#[cfg_attr(vectors, allow(unreachable_pub))]
mod words;

#[cfg(all(test, vectors))]
mod tests;

#[cfg(vectors)]
pub(crate) use kernels::Scannable;
#[cfg(not(vectors))]
pub(crate) use words::Words as Scannable;

#[cfg(not(vectors))]
pub(super) use narrow::Scan;
#[cfg(vectors)]
pub(super) use wide::Scan;

use super::Slope;

/// The bounds that a scan looks for.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(not(vectors), allow(unreachable_pub))]
pub struct Bounds<T> {
    /// The signal is high from `x >= high` on, and low from `x <= low` on; low < high.
    pub(super) high: T,
    pub(super) low: T,
    /// The only direction to report; `None` for both.
    pub(super) wanted: Option<Slope>,
}

impl<T> Bounds<T> {
    /// Whether the direction into that side is reported.
    #[cfg(any(test, not(vectors)))]
    #[inline]
    fn wants(&self, is_high: bool) -> bool {
        match self.wanted {
            None => true,
            Some(slope) => (slope == Slope::Rising) == is_high,
        }
    }
}

/// The progress of a scan in the stream, and what it knows there.
#[derive(Clone, Copy, Debug, Default)]
struct Progress {
    /// The position after the last sample scanned.
    seen: u64,
    /// Whether the signal is high there; unknown until a sample is on a side.
    is_high: Option<bool>,
    /// Where the side was first known; meaningless while it is not.
    settled: u64,
}

impl Progress {
    /// The samples not yet scanned, if any, and the position of the first. `samples` are at
    /// `start`, as in a block: none is beyond the last position.
    #[inline]
    fn rest<'a, T>(&self, start: u64, samples: &'a [T]) -> Option<(u64, &'a [T])> {
        let from = usize::try_from(self.seen.saturating_sub(start)).unwrap_or(usize::MAX);
        let rest = samples.get(from..).filter(|rest| !rest.is_empty())?;
        Some((start.wrapping_add(from as u64), rest))
    }

    /// Makes the first side known from `position` on.
    fn settle(&mut self, position: u64, is_high: bool) {
        (self.settled, self.is_high) = (position, Some(is_high));
    }

    /// If there is only one side to be on, the first sample beyond `bound` is on it for good.
    /// `samples` are at `start`.
    #[cold]
    fn settle_for_good<T: Scannable>(&mut self, start: u64, samples: &[T], side: Slope, bound: T) {
        let Some((first, rest)) = self.rest(start, samples) else { return };
        if self.is_high.is_none() {
            let index = T::before_beyond(rest, side, bound);
            if index < rest.len() {
                self.settle(first.saturating_add(index as u64), side == Slope::Rising);
            }
        }
        self.seen = first.saturating_add(rest.len() as u64);
    }

    fn settled(&self) -> Option<(u64, Slope)> {
        let side = |is_high| if is_high { Slope::Rising } else { Slope::Falling };
        self.is_high.map(|is_high| (self.settled, side(is_high)))
    }
}
