//! Quantiles of many magnitudes in little memory.

/// Magnitudes below this have one bin each.
const EXACT: usize = 16;
/// The number of bins per octave above that; each is 19 to 25 % wide.
const BINS_AN_OCTAVE: usize = 4;
/// The number of octaves from 2^4 up; larger magnitudes count in the last bin.
const OCTAVES: usize = 33;
const BINS: usize = EXACT + OCTAVES * BINS_AN_OCTAVE;

/// A histogram of whole magnitudes in bins whose width grows with them.
#[derive(Clone, Debug)]
pub(super) struct Magnitudes {
    counts: [u32; BINS],
}

impl Default for Magnitudes {
    fn default() -> Self {
        Self { counts: [0; BINS] }
    }
}

impl Magnitudes {
    #[inline]
    pub(super) fn add(&mut self, magnitude: u64) {
        if let Some(count) = self.counts.get_mut(bin(magnitude)) {
            *count = count.saturating_add(1);
        }
    }

    fn total(&self) -> u64 {
        self.counts.iter().map(|&count| u64::from(count)).sum()
    }

    /// The part of them that is 0.
    pub(super) fn zeros(&self) -> f64 {
        let zeros = self.counts.first().copied().unwrap_or(0);
        f64::from(zeros) / self.total().max(1) as f64
    }

    /// The magnitude below which this part of all lies. Within a bin it is interpolated, and a
    /// whole number stands for what is rounded to it.
    pub(super) fn quantile(&self, part: f64) -> f64 {
        let wanted = self.total() as f64 * part;
        let mut below = 0.0;
        for (bin, &count) in self.counts.iter().enumerate() {
            let count = f64::from(count);
            if count > 0.0 && below + count >= wanted {
                let (start, end) = (edge(bin), edge(bin + 1));
                return start + (wanted - below) / count * (end - start);
            }
            below += count;
        }
        0.0
    }

    /// The widest run of empty bins between occupied ones: its two ends, and how many magnitudes
    /// lie below and above it.
    pub(super) fn widest_gap(&self) -> Option<Gap> {
        let total = self.total();
        let (mut widest, mut last, mut below) = (None::<(usize, Gap)>, None, 0);
        for (bin, &count) in self.counts.iter().enumerate().filter(|(_, count)| **count > 0) {
            let empty = last.map_or(0, |last: usize| bin.saturating_sub(last).saturating_sub(1));
            if empty > 0 && widest.is_none_or(|(widest, _)| empty > widest) {
                let start = edge(last.unwrap_or(0) + 1);
                widest = Some((empty, Gap { start, end: edge(bin), below, above: total - below }));
            }
            below += u64::from(count);
            last = Some(bin);
        }
        widest.map(|(_, gap)| gap)
    }
}

/// A run without any magnitude.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Gap {
    pub(super) start: f64,
    pub(super) end: f64,
    /// How many magnitudes lie below the run, and above it.
    pub(super) below: u64,
    pub(super) above: u64,
}

/// The bin of a magnitude.
#[inline]
fn bin(magnitude: u64) -> usize {
    if magnitude < EXACT as u64 {
        return magnitude as usize;
    }
    let octave = magnitude.ilog2();
    let part = (magnitude >> (octave - 2)) as usize & (BINS_AN_OCTAVE - 1);
    (EXACT + (octave as usize - 4) * BINS_AN_OCTAVE + part).min(BINS - 1)
}

/// Where a bin begins: half below its first whole number.
fn edge(bin: usize) -> f64 {
    let Some(beyond) = bin.checked_sub(EXACT) else {
        return (bin as f64 - 0.5).max(0.0);
    };
    let (octave, part) = (beyond / BINS_AN_OCTAVE, beyond % BINS_AN_OCTAVE);
    ((BINS_AN_OCTAVE + part) as u64).checked_shl(octave as u32 + 2).unwrap_or(u64::MAX) as f64 - 0.5
}

#[cfg(test)]
mod tests {
    use super::{BINS, Magnitudes, bin, edge};

    #[test]
    fn bins_follow_each_other() {
        for magnitude in (0..5000).chain([1 << 20, (1 << 36) + 12345]) {
            let bin = bin(magnitude);
            assert!(edge(bin) <= magnitude as f64 && (magnitude as f64) < edge(bin + 1));
        }
        assert_eq!(bin(u64::MAX), BINS - 1);
    }

    #[test]
    fn quantiles_are_as_fine_as_the_bins() {
        let mut magnitudes = Magnitudes::default();
        (0..100_000_u64).for_each(|i| magnitudes.add(i));
        for part in [0.001, 0.25, 0.5, 0.9] {
            let found = magnitudes.quantile(part);
            assert!((found / (100_000.0 * part) - 1.0).abs() < 0.02, "{part}: {found}");
        }
        // What is rounded to 0 lies within a half.
        let mut zeros = Magnitudes::default();
        (0..100).for_each(|i| zeros.add(i / 50));
        assert_eq!(zeros.quantile(0.25), 0.25);
    }

    #[test]
    fn the_gap_between_two_kinds_is_found() {
        let mut magnitudes = Magnitudes::default();
        (0..40).for_each(|i| magnitudes.add(800 + i));
        (0..10).for_each(|i| magnitudes.add(2500 + i));
        let gap = magnitudes.widest_gap().unwrap();
        assert!(840.0 < gap.start && gap.end < 2500.0);
        assert_eq!((gap.below, gap.above), (40, 10));
        assert_eq!(Magnitudes::default().widest_gap(), None);
    }
}
