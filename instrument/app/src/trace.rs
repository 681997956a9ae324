//! A record as it is drawn: one stretch of codes a column.

use crate::Shot;

/// Columns on the smallest screen; larger ones draw them wider.
pub const COLUMNS: usize = 128;

/// The lowest and the highest code in a column, in 1/16 of a count; `None` where the record has
/// none.
pub type Column = Option<(u32, u32)>;

/// A record as columns.
#[derive(Clone, Debug)]
pub struct Trace {
    /// From left to right.
    pub columns: [Column; COLUMNS],
}

impl Default for Trace {
    fn default() -> Self {
        Self { columns: [None; COLUMNS] }
    }
}

impl Trace {
    /// The columns of a record of which `across` samples fill the screen, `before` of them before
    /// the crossing. The crossing stands at the same place to a fraction of a sample, so that the
    /// trace does.
    ///
    /// A column goes from what the signal was at its left edge to what it was at its right, by
    /// straight lines between samples, and over all samples between.
    pub fn of(shot: &Shot<'_>, before: f32, across: f32) -> Self {
        Self::of_samples(shot.samples(), shot.trigger_at() - before, across)
    }

    /// As [`of`](Self::of), from the sample index at the left edge.
    pub fn of_samples(samples: &[u16], left: f32, across: f32) -> Self {
        let width = across / COLUMNS as f32;
        let mut columns = [None; COLUMNS];
        for (index, column) in columns.iter_mut().enumerate() {
            let from = left + width * index as f32;
            let to = from + width;
            let ends = [between(samples, from), between(samples, to)];
            let first = (libm::ceilf(from).max(0.0) as usize).min(samples.len());
            let end = ((libm::floorf(to) + 1.0).max(0.0) as usize).clamp(first, samples.len());
            let inner = samples.get(first..end).unwrap_or_default();
            let (mut low, mut high) = (u16::MAX, 0);
            for &sample in inner {
                (low, high) = (low.min(sample), high.max(sample));
            }
            let inner = (low <= high).then(|| (16 * u32::from(low), 16 * u32::from(high)));
            let all = ends.into_iter().flatten().map(|x| (x, x)).chain(inner);
            *column = all.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        }
        Self { columns }
    }
}

/// The signal between two samples, in 1/16 of a count.
fn between(samples: &[u16], at: f32) -> Option<u32> {
    if at < 0.0 {
        return None;
    }
    let index = at as usize;
    let (a, b) = (*samples.get(index)?, *samples.get(index + 1)?);
    let (a, b) = (f32::from(a), f32::from(b));
    Some((16.0 * (a + (b - a) * (at - index as f32))) as u32)
}

#[cfg(test)]
mod tests {
    use super::{COLUMNS, Trace};

    #[test]
    fn no_sample_is_left_out() {
        // A single spike anywhere shows.
        for spike in 1..999 {
            let mut samples = [100; 1_001];
            samples[spike] = 200;
            let trace = Trace::of_samples(&samples, 0.0, 1_000.0);
            let shown = trace.columns.iter().filter(|c| c.unwrap().1 == 3_200).count();
            assert!((1..=2).contains(&shown), "{spike}: {shown}");
        }
    }

    #[test]
    fn codes_of_16_bits_do_not_overflow() {
        let trace = Trace::of_samples(&[0, u16::MAX, u16::MAX], 0.0, 2.0);
        assert_eq!(trace.columns[COLUMNS - 2], Some((16 * 65_535, 16 * 65_535)));
        assert_eq!(trace.columns[31].map(|(_, high)| high), Some(8 * 65_535));
    }

    #[test]
    fn few_samples_are_joined_by_lines() {
        let samples = [0, 160, 0];
        let trace = Trace::of_samples(&samples, 0.0, 2.0);
        assert_eq!(trace.columns[0], Some((0, 40)));
        assert_eq!(trace.columns[63], Some((2_520, 2_560)));
        assert_eq!(trace.columns[COLUMNS - 2], Some((40, 80)));
        // Beyond the record there is nothing.
        let trace = Trace::of_samples(&samples, -2.0, 4.0);
        assert_eq!(trace.columns[0], None);
        assert!(trace.columns[COLUMNS - 2].is_some());
    }
}
