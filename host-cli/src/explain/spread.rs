//! How values are spread, in bounded memory.

use std::collections::BTreeMap;

/// Counts values that are no farther apart than a part in 16 000.
#[derive(Debug, Clone, Default)]
pub(super) struct Spread {
    counts: BTreeMap<i32, Kept>,
    total: u64,
}

/// Values next to each other.
#[derive(Debug, Clone, Copy)]
struct Kept {
    count: u64,
    low: f64,
    high: f64,
}

/// A bar of a histogram: values from `low` to below `high`.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Bar {
    /// Where it begins.
    pub low: f64,
    /// Where it ends.
    pub high: f64,
    /// How many values are there.
    pub count: u64,
}

impl Spread {
    pub(super) fn add(&mut self, value: f64) {
        self.total += 1;
        let kept = Kept { count: 0, low: value, high: value };
        let kept = self.counts.entry(key(value)).or_insert(kept);
        kept.count += 1;
        kept.low = kept.low.min(value);
        kept.high = kept.high.max(value);
    }

    /// The smallest and the largest value.
    pub(super) fn range(&self) -> Option<(f64, f64)> {
        let (first, last) = (self.counts.values().next()?, self.counts.values().next_back()?);
        Some((first.low, last.high))
    }

    /// All values, as near as they are kept, and how often each came.
    pub(super) fn values(&self) -> impl Iterator<Item = (f64, u64)> {
        self.counts.values().map(|kept| (f64::midpoint(kept.low, kept.high), kept.count))
    }

    /// The value in the middle of all.
    pub(super) fn median(&self) -> Option<f64> {
        let mut before = 0;
        let half = self.total.div_ceil(2);
        let middle = self.counts.values().find(|kept| {
            before += kept.count;
            before >= half
        })?;
        Some(f64::midpoint(middle.low, middle.high))
    }

    /// From a value on, up or down, how far values go on with no gap between them of more than a
    /// twentieth, how many there are, and the next value after the gap.
    pub(super) fn cluster(&self, from: f64, upwards: bool) -> (f64, u64, Option<f64>) {
        let (mut edge, mut count) = (from, 0);
        let key = key(from);
        let mut step = |near: f64, far: f64, n: u64| {
            if (near - edge).abs() > edge.abs() / 20.0 {
                return Some(near);
            }
            (edge, count) = (far, count + n);
            None
        };
        let next = if upwards {
            self.counts.range(key..).find_map(|(_, kept)| step(kept.low, kept.high, kept.count))
        } else {
            self.counts.range(..=key).rev().find_map(|(_, k)| step(k.high, k.low, k.count))
        };
        (edge, count, next)
    }

    /// A histogram of `bars` bars from `low` to `high`.
    pub(super) fn bars(&self, low: f64, high: f64, bars: usize) -> Vec<Bar> {
        let width = (high - low) / bars as f64;
        let at = |n: usize| low + width * n as f64;
        let mut all: Vec<Bar> =
            (0..bars).map(|n| Bar { low: at(n), high: at(n + 1), count: 0 }).collect();
        for kept in self.counts.values() {
            let middle = f64::midpoint(kept.low, kept.high);
            let n = ((middle - low) / width).max(0.0) as usize;
            all[n.min(bars - 1)].count += kept.count;
        }
        all
    }
}

/// Numbers in order of size that take the leading digits of a value.
fn key(value: f64) -> i32 {
    let bits = (value as f32).to_bits().cast_signed();
    // Negative numbers are in reverse order.
    (if bits < 0 { !bits | i32::MIN } else { bits }) >> 10
}

/// Bars whose edges are at the first of `bounds`, over all values and bounds.
pub(super) fn bars(spread: &Spread, low: f64, high: f64, bounds: &[f64]) -> Vec<Bar> {
    const BARS: f64 = 16.0;
    let low = bounds.iter().copied().fold(low, f64::min);
    let high = bounds.iter().copied().fold(high, f64::max);
    let whole = (high - low).max(high.abs().max(low.abs()) * 1e-3).max(1e-9);
    let width = whole / BARS;
    let origin = bounds.first().copied().unwrap_or(low);
    let first = ((low - origin) / width - 1e-6).floor() - 1.0;
    let last = ((high - origin) / width + 1e-6).ceil() + 1.0;
    spread.bars(origin + first * width, origin + last * width, (last - first) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(values: &[f64]) -> Spread {
        let mut spread = Spread::default();
        for value in values {
            spread.add(*value);
        }
        spread
    }

    #[test]
    fn values_come_in_order() {
        let values = [-5.0, -0.25, -1e-9, 0.0, 3e-6, 11.2, 11.21, 4e9];
        assert!(values.windows(2).all(|pair| key(pair[0]) < key(pair[1])));
        let spread = spread(&[3.0, -5.0, 4.0, 1.0, 4.0]);
        assert_eq!(spread.range(), Some((-5.0, 4.0)));
        assert_eq!(spread.median(), Some(3.0));
    }

    #[test]
    fn clusters_end_at_gaps() {
        let spread = spread(&[2.0, 2.01, 5.0, 5.1, 5.2, 8.0]);
        assert_eq!(spread.cluster(5.2, false), (5.0, 3, Some(2.01)));
        assert_eq!(spread.cluster(5.0, true), (5.2, 3, Some(8.0)));
        assert_eq!(spread.cluster(8.0, true), (8.0, 1, None));
    }

    #[test]
    fn every_value_is_in_a_bar() {
        let spread = spread(&[0.0, 0.5, 1.0, 1.0, 2.0]);
        let counts: Vec<u64> = spread.bars(0.0, 2.0, 4).iter().map(|bar| bar.count).collect();
        assert_eq!(counts, [1, 1, 2, 1]);
    }
}
