//! Samples as whole steps.

use super::look::Spikes;
use super::{Binning, PARTS, Sides, StateLevels, Stretch};
use crate::Sample;
use crate::measure::number::real;
use crate::sample::Number;

/// A part of a record's range in steps. A step is one count, or as many counts as needed so that
/// there are at most 2^20 steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Steps<T> {
    pub(super) binning: Binning<T>,
    /// A step is 2^this keys.
    shift: u32,
}

impl<T: Sample> Steps<T> {
    pub(super) fn new(binning: Binning<T>) -> Self {
        let shift = 12_u32.saturating_sub(binning.top().leading_zeros());
        Self { binning, shift }
    }

    /// The step of a sample, from any origin; differences are the same.
    #[inline]
    pub(super) fn of(&self, x: T) -> i32 {
        match x.number() {
            Number::Narrow(x) => x,
            Number::Wide(_) | Number::Real(_) => {
                (self.binning.key_within(x).unwrap_or(self.binning.top()) >> self.shift) as i32
            }
        }
    }

    /// The number of samples outside.
    pub(super) fn outside(&self, samples: &[T]) -> u32 {
        samples.iter().filter(|&&x| self.binning.key_within(x).is_none()).count() as u32
    }

    /// The range from the smallest to the largest sample, in parts.
    pub(super) fn range(&self) -> u32 {
        (self.binning.top() >> self.shift) * PARTS
    }

    /// A percentage of the range, in parts.
    pub(super) fn part_of_range(&self, percent: u32) -> u32 {
        // Below 2^24 parts.
        self.range() * percent / 100
    }

    /// The width of a bin, in parts.
    pub(super) fn bin(&self) -> u32 {
        PARTS << (self.binning.shift() - self.shift.min(self.binning.shift()))
    }

    /// The range and a bin's width, in parts, and the number of bins.
    pub(super) fn shape(&self) -> (u32, u32, usize) {
        (self.range(), self.bin(), self.binning.last() + 1)
    }

    /// The key of a number of parts.
    pub(super) fn key(&self, parts: u32) -> u32 {
        (parts / PARTS) << self.shift
    }

    /// The parts of a number of keys.
    pub(super) fn parts(&self, keys: u32) -> u32 {
        (keys >> self.shift) * PARTS
    }

    /// Converts parts to counts.
    #[inline(never)]
    pub(super) fn counts(&self, parts: u32) -> f64 {
        // A power of two: multiplying is exact too, and less work.
        let keys = (u64::from(parts) << self.shift) as f64 * (1.0 / f64::from(PARTS));
        match self.binning.minimum().number() {
            Number::Real(_) => keys / self.binning.keys_a_unit(),
            Number::Narrow(_) | Number::Wide(_) => keys,
        }
    }

    /// Converts a noise in other steps to these steps.
    pub(super) fn noise_of(&self, noise: u32, other: &Self) -> u32 {
        let ratio = self.binning.keys_a_unit() / other.binning.keys_a_unit();
        if ratio == 1.0 {
            return ((u64::from(noise) << other.shift) >> self.shift) as u32;
        }
        (f64::from(noise) * ratio) as u32
    }

    /// The part that remains without outliers.
    #[inline(never)]
    pub(super) fn without(&self, samples: &[T], spikes: Spikes) -> Option<Self> {
        let mut found: Option<(T, T)> = None;
        for &x in samples {
            let Some(key) = self.binning.key_within(x) else { continue };
            let bin = (key >> self.binning.shift()) as usize;
            if bin < spikes.first || bin > spikes.last {
                continue;
            }
            let (low, high) = found.unwrap_or((x, x));
            found = Some((if x < low { x } else { low }, if x > high { x } else { high }));
        }
        let (low, high) = found?;
        (low < high).then(|| Self::new(Binning::fine(low, high)))
    }

    /// Whether each sample outside is alone: both neighbours are inside, and it is further from
    /// their mean than two fifths of its way from the middle of the range. The peak of a decaying
    /// signal is nearer to its neighbours.
    #[inline(never)]
    pub(super) fn stands_alone(&self, samples: &[T]) -> bool {
        let low = real(self.binning.minimum());
        let middle = low + self.counts(self.range() / 2);
        samples.windows(3).all(|three| {
            let Some(&[before, x, after]) = three.first_chunk::<3>() else { return true };
            if self.binning.key_within(x).is_some() {
                return true;
            }
            let inside = |x: T| self.binning.key_within(x).is_some();
            let (before_x, after_x) = (real(before), real(after));
            let off = libm::fabs(real(x) - f64::midpoint(before_x, after_x));
            inside(before) && inside(after) && off > 0.4 * libm::fabs(real(x) - middle)
        })
    }

    /// The levels that were found, in counts.
    #[inline(never)]
    pub(super) fn levels(&self, samples: &[T], sides: &Sides) -> StateLevels {
        let peak = |at: u32| real(self.binning.minimum()) + self.counts(at);
        let (low, high) = (sides.low, sides.high);
        let mut found = StateLevels { low: peak(low.at), high: peak(high.at) };
        if low.stretch.is_none() && high.stretch.is_none() {
            return found;
        }
        let last = self.binning.last();
        let end = |bin| Stretch { first: bin, last: bin };
        let (a, b) = self.binning.means(
            samples,
            low.stretch.unwrap_or(end(0)),
            high.stretch.unwrap_or(end(last)),
        );
        if low.stretch.is_some() {
            found.low = a;
        }
        if high.stretch.is_some() {
            found.high = b;
        }
        found
    }
}
