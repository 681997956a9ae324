//! A histogram of at most 256 bins, and the mean of what lies in some of them.

use core::ops::AddAssign;

use super::number::{Number, number, quotient, real};
use crate::Sample;

/// The most bins, and the fewest.
pub(super) const BINS: usize = 256;
const FEWEST_BINS: usize = 16;

/// Samples a bin, on average, in a record of some length: with fewer, chance makes the mode.
const SAMPLES_A_BIN: usize = 4;

/// Some bins in a row, both ends included.
#[derive(Clone, Copy)]
pub(super) struct Stretch {
    pub(super) first: usize,
    pub(super) last: usize,
}

impl Stretch {
    #[inline]
    fn contains(self, bin: usize) -> bool {
        bin.wrapping_sub(self.first) <= self.last.wrapping_sub(self.first)
    }
}

/// Equal bins from the smallest sample up.
#[derive(Clone, Copy)]
pub(super) struct Binning<T> {
    minimum: T,
    /// The last bin: the largest sample's.
    last: usize,
    /// Integer samples: a bin is 2^shift counts wide, so that each holds equally many codes.
    shift: u32,
    /// Others: bins a unit.
    density: f64,
}

impl<T: Sample> Binning<T> {
    /// Bins for a record of `samples` samples between two extremes.
    pub(super) fn new(minimum: T, maximum: T, samples: usize) -> Self {
        let most = (samples / SAMPLES_A_BIN).clamp(FEWEST_BINS, BINS);
        let mut binning = Self { minimum, last: 0, shift: 0, density: 0.0 };
        if let Number::Real(_) = number(minimum) {
            let range = real(maximum) - real(minimum);
            if range > 0.0 {
                binning.last = most - 1;
                binning.density = most as f64 / range;
            }
        } else {
            let range = distance(minimum, maximum);
            while (range >> binning.shift) as usize >= most {
                binning.shift += 1;
            }
            binning.last = (range >> binning.shift) as usize;
        }
        binning
    }

    /// The bin that a sample falls into.
    #[inline]
    fn bin(&self, x: T) -> usize {
        match number(x) {
            Number::Real(x) => {
                let bin = (x - real(self.minimum)) * self.density;
                (bin as usize).min(self.last)
            }
            _ => (distance(self.minimum, x) >> self.shift) as usize,
        }
    }

    /// The last bin.
    pub(super) fn last(&self) -> usize {
        self.last
    }

    /// How many samples each bin holds; room for `C` to count all of them.
    pub(super) fn count<C>(&self, samples: &[T]) -> [C; BINS]
    where
        C: Copy + From<u8> + AddAssign,
    {
        let (none, one) = (C::from(0), C::from(1));
        let mut counts = [none; BINS];
        for &x in samples {
            if let Some(count) = counts.get_mut(self.bin(x)) {
                *count += one;
            }
        }
        counts
    }

    /// The means of the samples in two stretches, both of which hold some; rounded down to 1/65536
    /// of a count for integer samples.
    pub(super) fn means(&self, samples: &[T], low: Stretch, high: Stretch) -> (f64, f64) {
        let (mut below, mut above) = (Mean::default(), Mean::default());
        for &x in samples {
            let bin = self.bin(x);
            if low.contains(bin) {
                below.add(self.minimum, x);
            } else if high.contains(bin) {
                above.add(self.minimum, x);
            }
        }
        let base = real(self.minimum);
        (base + below.mean(), base + above.mean())
    }
}

/// The distance of two integer samples, the smaller first.
#[inline]
fn distance<T: Sample>(smaller: T, larger: T) -> u32 {
    match (number(smaller), number(larger)) {
        (Number::Narrow(a), Number::Narrow(b)) => b.wrapping_sub(a) as u32,
        (Number::Wide(a), Number::Wide(b)) => b.wrapping_sub(a) as u32,
        _ => 0,
    }
}

/// A mean above a base.
#[derive(Default)]
struct Mean {
    count: u64,
    counts: u64,
    real: f64,
}

impl Mean {
    #[inline]
    fn add<T: Sample>(&mut self, base: T, x: T) {
        self.count += 1;
        match number(x) {
            Number::Real(x) => self.real += x - real(base),
            _ => self.counts = self.counts.saturating_add(u64::from(distance(base, x))),
        }
    }

    fn mean(&self) -> f64 {
        let whole = quotient(self.counts, self.count);
        let rest = self.counts.saturating_sub(whole.saturating_mul(self.count));
        let parts = quotient(rest << 16, self.count);
        let real = if self.count == 0 { 0.0 } else { self.real / self.count as f64 };
        whole as f64 + parts as f64 / 65536.0 + real
    }
}
