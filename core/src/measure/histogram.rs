//! A histogram of at most 256 bins, and the mean of the samples in some of them.

use core::ops::AddAssign;

use super::number::{CHUNK, for_each, quotient, real};
use crate::Sample;
use crate::sample::Number;

/// The largest and the smallest number of bins.
pub(crate) const BINS: usize = 256;
const FEWEST_BINS: usize = 16;

/// The average number of samples per bin, in a long enough record; with fewer, chance would make
/// the mode.
const SAMPLES_A_BIN: usize = 4;

/// Some bins in a row, both ends included.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    pub(super) first: usize,
    pub(super) last: usize,
}

/// Equal bins from the smallest sample up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Binning<T> {
    minimum: T,
    /// The last bin, which holds the largest sample.
    last: usize,
    /// For integer samples: a bin is 2^shift counts wide, so that each holds the same number of
    /// codes.
    shift: u32,
    /// For others: keys per unit.
    density: f64,
    /// The highest key. Samples above it, or below the smallest sample, have [`OUTSIDE`].
    top: u32,
}

/// The key of a sample outside.
const OUTSIDE: u32 = u32::MAX;

/// The number of bits in a key of a floating-point range: a 20-bit converter has as many codes.
const REAL_BITS: u32 = 20;

impl<T: Sample> Binning<T> {
    /// Makes bins for a record of `samples` samples between two extremes.
    pub(crate) fn new(minimum: T, maximum: T, samples: usize) -> Self {
        let most = (samples / SAMPLES_A_BIN).clamp(FEWEST_BINS, BINS);
        let top = most as u32 - 1;
        let mut binning = Self { minimum, last: most - 1, shift: 0, density: 0.0, top };
        if let Number::Real(_) = minimum.number() {
            binning.density = most as f64 / (real(maximum) - real(minimum));
            binning
        } else {
            binning.of_whole(maximum, most)
        }
    }

    /// The largest number of bins between two extremes; other samples may be outside.
    #[inline(never)]
    pub(super) fn fine(minimum: T, maximum: T) -> Self {
        let (top, last) = ((1 << REAL_BITS) - 1, BINS - 1);
        let mut binning = Self { minimum, last, shift: REAL_BITS - 8, density: 0.0, top };
        if let Number::Real(_) = minimum.number() {
            binning.density = f64::from(top) / (real(maximum) - real(minimum));
            binning
        } else {
            binning.shift = 0;
            binning.of_whole(maximum, BINS)
        }
    }

    fn of_whole(mut self, maximum: T, most: usize) -> Self {
        self.top = OUTSIDE;
        self.top = self.key(maximum);
        while (self.top >> self.shift) as usize >= most {
            self.shift += 1;
        }
        self.last = (self.top >> self.shift) as usize;
        self
    }

    /// The highest key.
    pub(super) fn top(&self) -> u32 {
        self.top
    }

    /// The exponent of a bin's width: 2^this keys.
    pub(super) fn shift(&self) -> u32 {
        self.shift
    }

    /// The smallest sample.
    pub(super) fn minimum(&self) -> T {
        self.minimum
    }

    /// The number of keys in one unit of the samples.
    pub(super) fn keys_a_unit(&self) -> f64 {
        match self.minimum.number() {
            Number::Real(_) => self.density,
            Number::Narrow(_) | Number::Wide(_) => 1.0,
        }
    }

    /// The key of a sample; `None` outside.
    #[inline]
    pub(super) fn key_within(&self, x: T) -> Option<u32> {
        if let (Number::Real(minimum), Number::Real(x)) = (self.minimum.number(), x.number()) {
            let key = (x - minimum) * self.density;
            // The largest is at the end of the last one, and rounding may take it a little beyond.
            let is_within = key >= 0.0 && key < f64::from(self.top) + 1.5;
            return is_within.then_some((key as u32).min(self.top));
        }
        let key = self.key(x);
        (key <= self.top).then_some(key)
    }

    /// Counts the inside samples in each bin; `C` must have room for all of them.
    #[inline]
    pub(super) fn count_within<C>(&self, samples: &[T], counts: &mut [C; BINS])
    where
        C: Copy + From<u8> + AddAssign,
    {
        let one = C::from(1);
        for_each(samples, |x| {
            if let Some(key) = self.key_within(x)
                && let Some(count) = counts.get_mut((key >> self.shift) as usize)
            {
                *count += one;
            }
        });
    }

    /// The last bin.
    pub(super) fn last(&self) -> usize {
        self.last
    }

    /// The middle of a bin, in the samples' unit.
    pub(super) fn centre(&self, bin: usize) -> f64 {
        let above = match self.minimum.number() {
            Number::Real(_) => ((bin as f64 + 0.5) * f64::from(1_u32 << self.shift)) / self.density,
            // As many codes to either side of it.
            _ => {
                (bin as u64).checked_shl(self.shift).unwrap_or(0) as f64
                    + ((1_u64 << self.shift) - 1) as f64 / 2.0
            }
        };
        real(self.minimum) + above
    }

    /// The key of a sample: for integers, the count above the smallest sample; for others, the
    /// scaled distance above it. A right shift turns the key into a bin.
    #[inline]
    fn key(&self, x: T) -> u32 {
        match (self.minimum.number(), x.number()) {
            (Number::Narrow(minimum), Number::Narrow(x)) => x.wrapping_sub(minimum) as u32,
            (Number::Wide(minimum), Number::Wide(x)) => x.wrapping_sub(minimum) as u32,
            (Number::Real(minimum), Number::Real(x)) => {
                (((x - minimum) * self.density) as u32).min(self.top)
            }
            _ => 0,
        }
    }

    /// Counts the samples in each bin; `C` must have room for all of them.
    #[inline]
    pub(crate) fn count<C>(&self, samples: &[T], counts: &mut [C; BINS])
    where
        C: Copy + From<u8> + AddAssign,
    {
        let one = C::from(1);
        for_each(samples, |x| {
            // Below 256 already; said so, it needs no check.
            let bin = (self.key(x) >> self.shift) as u8;
            if let Some(count) = counts.get_mut(usize::from(bin)) {
                *count += one;
            }
        });
    }

    /// The means of the samples in two separate stretches, each of which holds some; rounded down
    /// to 1/65536 of a count for integer samples.
    pub(super) fn means(&self, samples: &[T], low: Stretch, high: Stretch) -> (f64, f64) {
        let (low, high) = (self.keys(low), self.keys(high));
        let (mut below, mut above) = (Mean::default(), Mean::default());
        for chunk in samples.chunks(CHUNK) {
            let (mut short_below, mut short_above) = (Sum::default(), Sum::default());
            for_each(chunk, |x| {
                let key = self.key_within(x).unwrap_or(OUTSIDE);
                if key <= low.1 {
                    if key >= low.0 {
                        short_below.add(key, x);
                    }
                } else if key >= high.0 && key <= high.1 {
                    short_above.add(key, x);
                }
            });
            below.add(&short_below);
            above.add(&short_above);
        }
        (below.above(self.minimum), above.above(self.minimum))
    }

    /// The first and the last key of a stretch of bins.
    fn keys(&self, Stretch { first, last }: Stretch) -> (u32, u32) {
        let below = (1 << self.shift) - 1;
        ((first as u32) << self.shift, (last as u32) << self.shift | below)
    }
}

/// A chunk's samples above the smallest one, by their keys if those are counts.
#[derive(Default)]
struct Sum {
    count: u32,
    narrow: u32,
    wide: u64,
    real: f64,
}

impl Sum {
    #[inline]
    fn add<T: Sample>(&mut self, key: u32, x: T) {
        self.count += 1;
        match x.number() {
            Number::Narrow(_) => self.narrow = self.narrow.wrapping_add(key),
            Number::Wide(_) => self.wide += u64::from(key),
            Number::Real(x) => self.real += x,
        }
    }
}

/// What a mean is computed from: counts above the smallest sample, or samples.
#[derive(Default)]
struct Mean {
    count: u64,
    counts: u64,
    real: f64,
}

impl Mean {
    fn add(&mut self, sum: &Sum) {
        self.count += u64::from(sum.count);
        self.counts = self.counts.saturating_add(u64::from(sum.narrow) + sum.wide);
        self.real += sum.real;
    }

    fn above<T: Sample>(&self, minimum: T) -> f64 {
        let minimum = match minimum.number() {
            Number::Narrow(minimum) => i64::from(minimum),
            Number::Wide(minimum) => minimum,
            Number::Real(_) => return self.real / self.count as f64,
        };
        let whole = quotient(self.counts, self.count);
        let rest = self.counts.saturating_sub(whole.saturating_mul(self.count));
        let parts = quotient(rest << 16, self.count) as i64;
        (((minimum + whole as i64) << 16) + parts) as f64 / 65536.0
    }
}
