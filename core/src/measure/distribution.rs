//! The distribution of a value over records.

use super::Value;

/// The number of bins in a distribution.
const BINS: usize = 128;

/// A histogram of values that arrive one by one, with a fixed size for any values.
///
/// Its 128 bins are as wide as a power of two, so their edges are exact. If a value lies beyond
/// them, bins are merged in pairs until it does not. All bins together are thus at most about four
/// times as wide as the range of the values, or 1e-7 of the first value. Values that are missing,
/// and values of 1e300 or more, are counted separately.
///
/// ```
/// use stillwave::measure::Distribution;
/// let mut widths = Distribution::default();
/// for width in [1.5, 1.5, 1.5, 9.0] {
///     widths.push(Ok(width));
/// }
/// let bins: Vec<_> = widths.bins().filter(|bin| bin.count > 0).collect();
/// assert_eq!((bins[0].count, bins[1].count, widths.count()), (3, 1, 4));
/// assert!(bins[0].low <= 1.5 && 1.5 < bins[0].high);
/// ```
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Distribution {
    counts: [u32; BINS],
    count: u64,
    missing: u64,
    /// The width of a bin; 0 before the first value.
    width: f64,
    /// The position of the first bin, in widths from 0.
    base: f64,
}

/// A bin of a distribution: values from `low` on and below `high`, in their own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Bin {
    /// The smallest value in the bin.
    pub low: f64,
    /// The smallest value above the bin.
    pub high: f64,
    /// The number of values in the bin.
    pub count: u32,
}

impl Default for Distribution {
    fn default() -> Self {
        Self { counts: [0; BINS], count: 0, missing: 0, width: 0.0, base: 0.0 }
    }
}

impl Distribution {
    /// Adds the next value.
    pub fn push(&mut self, value: Value) {
        // So far from the ends of the numbers that no bin's edge is beyond.
        let Some(x) = value.ok().filter(|x| libm::fabs(*x) < 1e300) else {
            self.missing = self.missing.saturating_add(1);
            return;
        };
        if self.width <= 0.0 {
            let fine = (libm::fabs(x) * 1e-9).max(1e-280);
            self.width = libm::scalbn(1.0, libm::ilogb(fine));
            self.base = self.whole(x) - (BINS / 2) as f64;
        }
        // Each step doubles the width: 2000 cover all numbers.
        for _ in 0..2100 {
            if (0.0..BINS as f64).contains(&self.place(x)) {
                break;
            }
            self.merge(x);
        }
        let place = self.place(x) as usize;
        if let Some(count) = self.counts.get_mut(place) {
            *count = count.saturating_add(1);
            self.count = self.count.saturating_add(1);
        }
    }

    /// The number of values.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The number of records that did not give a value.
    pub fn missing(&self) -> u64 {
        self.missing
    }

    /// All bins in order, including empty ones; none before the first value.
    pub fn bins(&self) -> impl Iterator<Item = Bin> + '_ {
        let edge = |index: usize| (self.base + index as f64) * self.width;
        let all = if self.count > 0 { BINS } else { 0 };
        self.counts.iter().take(all).enumerate().map(move |(index, &count)| Bin {
            low: edge(index),
            high: edge(index + 1),
            count,
        })
    }

    fn place(&self, x: f64) -> f64 {
        self.whole(x) - self.base
    }

    /// The number of whole widths from 0 up to `x`, rounded down.
    fn whole(&self, x: f64) -> f64 {
        let whole = libm::floor(x / self.width);
        // Only a quotient too small for a number is not exact.
        if whole * self.width > x { whole - 1.0 } else { whole }
    }

    /// Makes bins twice as wide, with room on the side of `x`.
    fn merge(&mut self, x: f64) {
        let old = self.base;
        let below = self.place(x) < 0.0;
        self.width *= 2.0;
        // The lower half of the new bins is for what is below, or the upper for what is above.
        let half = libm::floor(old / 2.0);
        self.base = if below { half - (BINS / 2 - 1) as f64 } else { half };
        let mut merged = [0_u32; BINS];
        for (index, &count) in self.counts.iter().enumerate() {
            let place = libm::floor(0.5 * (old + index as f64)) - self.base;
            if let Some(kept) = merged.get_mut(place as usize) {
                *kept = kept.saturating_add(count);
            }
        }
        self.counts = merged;
    }
}
