//! Counting of samples that do not show the true voltage.

use crate::{ConfigError, Sample};

/// The number of samples counted together; no more than a `u8` can count.
const RUN: usize = 128;

/// Counts samples at the converter's end codes, where the voltage may be anything beyond, and
/// samples that are not finite.
///
/// ```
/// use stillwave::Monitor;
/// let mut monitor = Monitor::new(0_u16, 4095)?;
/// monitor.push(&[0, 17, 4095, 4095]);
/// assert_eq!(monitor.quality().clipped, 3);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Monitor<T> {
    lowest: T,
    highest: T,
    quality: Quality,
}

/// The counts of a [`Monitor`], in samples.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Quality {
    /// Samples at or beyond an end code.
    pub clipped: u64,
    /// Samples that are not finite: neither above nor below anything.
    pub non_finite: u64,
}

impl<T: Sample> Monitor<T> {
    /// Makes a monitor for a converter with these end codes.
    ///
    /// # Errors
    /// The end codes are not finite or not in order.
    pub fn new(lowest: T, highest: T) -> Result<Self, ConfigError> {
        if !(lowest < highest && lowest.is_finite() && highest.is_finite()) {
            let value = T::wide_to_f64(highest.widen());
            return Err(ConfigError::new("highest code", value, "over the lowest code"));
        }
        Ok(Self { lowest, highest, quality: Quality::default() })
    }

    /// Counts the next samples.
    pub fn push(&mut self, samples: &[T]) {
        let (runs, rest) = samples.as_chunks::<RUN>();
        for run in runs {
            // Most runs have nothing to count, which takes a vector comparison or two to see.
            let clean = |&x: &T| (x > self.lowest) & (x < self.highest);
            if !run.iter().fold(true, |all, x| all & clean(x)) {
                self.count(run);
            }
        }
        self.count(rest);
    }

    /// Counts up to [`RUN`] samples.
    fn count(&mut self, run: &[T]) {
        // In narrow counts, so that the loop becomes vectors.
        let (mut clipped, mut finite) = (0_u8, 0_u8);
        for &x in run {
            let within = x.is_finite();
            finite += u8::from(within);
            clipped += u8::from(within & ((x <= self.lowest) | (x >= self.highest)));
        }
        self.quality.clipped += u64::from(clipped);
        self.quality.non_finite += run.len() as u64 - u64::from(finite);
    }

    /// The counts so far.
    pub fn quality(&self) -> Quality {
        self.quality
    }
}

#[cfg(test)]
mod tests {
    use super::Monitor;
    use proptest::prelude::*;
    use std::vec::Vec;

    proptest! {
        #[test]
        fn counts_what_a_plain_loop_counts(
            runs in prop::collection::vec((0..6_usize, 1..200_usize), 0..12),
            cut in 0..400_usize,
        ) {
            let values = [0.0, 1.0, -1.0, f32::NAN, f32::INFINITY, 2.0];
            let samples: Vec<f32> =
                runs.iter().flat_map(|&(k, len)| std::iter::repeat_n(values[k], len)).collect();
            let mut monitor = Monitor::new(-1.0, 1.0).unwrap();
            let (first, second) = samples.split_at(cut.min(samples.len()));
            monitor.push(first);
            monitor.push(second);
            let clipped = samples.iter().filter(|x| x.is_finite() && x.abs() >= 1.0).count();
            let non_finite = samples.iter().filter(|x| !x.is_finite()).count();
            let quality = monitor.quality();
            prop_assert_eq!(quality.clipped, clipped as u64);
            prop_assert_eq!(quality.non_finite, non_finite as u64);
        }
    }
}
