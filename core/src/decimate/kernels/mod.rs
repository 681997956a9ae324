//! The loops over samples, as fast as the machine allows: with vectors if the processor has them,
//! otherwise with words of 32 bits, and with the same results.

#![cfg_attr(vectors, allow(clippy::inline_always))]

/// Does something with all the vectors that the processor has: `simd` stands for them.
macro_rules! in_vectors {
    ($vectors:expr, $simd:ident => $work:expr) => {{
        #[cfg(vectors)]
        {
            fearless_simd::dispatch!($vectors.0, $simd => {
                let _ = $simd;
                $work
            })
        }
        #[cfg(not(vectors))]
        {
            let $simd = $vectors;
            let _ = $simd;
            $work
        }
    }};
}

mod fine;
mod float;
mod integer;
#[cfg(vectors)]
mod wide;
#[cfg(any(test, not(vectors)))]
mod words;

use super::Extent;
use crate::vectors::Vectors;
use crate::{Sample, ahead};

/// A sample that decimators work on.
pub trait Reducible: Copy + Default {
    /// A sum in progress.
    type Partial: Copy + Default + core::fmt::Debug + Send + Sync + 'static;
    /// A weight of a filter: `i16` in Q15 for integers, `f32` for `f32`.
    type Tap: Copy + Default + core::fmt::Debug + Send + Sync + 'static;
    /// A column of averaged records: `i64` in 1/65536 of a count for integers, `f64` for `f32`.
    type Fine: Copy + Default + core::fmt::Debug + Send + Sync + 'static;

    /// The largest number of samples whose sum fits.
    #[doc(hidden)]
    const MOST: u32;
    /// The largest number of records whose sum fits.
    #[doc(hidden)]
    const MOST_RECORDS: u64;

    /// The extent of some samples, and how many of them are not finite.
    #[doc(hidden)]
    fn extent(vectors: Vectors, samples: &[Self]) -> (Extent<Self>, u64)
    where
        Self: Sample;

    /// Finds the extents of groups of `step` samples: how many groups there are, and how many
    /// samples in them are not finite.
    #[doc(hidden)]
    fn extents(
        vectors: Vectors,
        samples: &[Self],
        step: usize,
        extents: &mut [Extent<Self>],
    ) -> (usize, u64)
    where
        Self: Sample;

    /// Adds samples to a sum that already holds `filled`.
    #[doc(hidden)]
    fn sum_into(vectors: Vectors, partial: &mut Self::Partial, filled: u32, samples: &[Self]);

    /// The finished sum.
    #[doc(hidden)]
    fn close(partial: Self::Partial) -> Self::Wide
    where
        Self: Sample;

    /// Computes the sums of groups of `step` samples and returns the number of groups.
    #[doc(hidden)]
    fn sums(vectors: Vectors, samples: &[Self], step: usize, sums: &mut [Self::Wide]) -> usize
    where
        Self: Sample;

    /// A sum of `count` samples as one sample.
    #[doc(hidden)]
    fn mean(sum: Self::Wide, count: u32) -> Self
    where
        Self: Sample;

    /// The total of the taps; `None` if they cannot be used.
    #[doc(hidden)]
    fn total(taps: &[Self::Tap]) -> Option<i64>;

    /// The gain of a constant.
    #[doc(hidden)]
    fn gain(taps: &[Self::Tap]) -> f64;

    /// Computes weighted sums, each beginning `step` samples after the one before, as long as
    /// `samples` and `outputs` last; returns how many. `scale` is the taps' total, and the bits
    /// gained.
    #[doc(hidden)]
    fn dots(
        vectors: Vectors,
        samples: &[Self],
        taps: &[Self::Tap],
        step: usize,
        scale: (i64, u32),
        outputs: &mut [Self::Wide],
    ) -> usize
    where
        Self: Sample;

    /// Adds the value that a record has `lead` before `this` to a column that has `count` records.
    #[doc(hidden)]
    fn average_into(column: &mut Self::Fine, at: (Self, Self, u32), count: u64, shift: Option<u32>);

    /// The value of a column that is the sum of `count` records.
    #[doc(hidden)]
    fn averaged(column: Self::Fine, count: u64) -> f64;

    /// The same as a sample.
    #[doc(hidden)]
    fn averaged_sample(column: Self::Fine, count: u64) -> Self;
}

/// A quotient rounded to nearest, halves upwards; 0 for a divisor that is not over 0.
#[inline]
pub(super) fn nearest_quotient(dividend: i64, divisor: i64) -> i64 {
    if divisor <= 0 {
        return 0;
    }
    let (size, divisor) = (dividend.unsigned_abs(), divisor.unsigned_abs());
    let (quotient, rest) = if let (Ok(a), Ok(b)) = (u32::try_from(size), u32::try_from(divisor)) {
        // Long division costs a chip some hundred instructions more.
        let quotient = a.checked_div(b).unwrap_or(0);
        (u64::from(quotient), u64::from(a.wrapping_sub(quotient.wrapping_mul(b))))
    } else {
        let quotient = size.checked_div(divisor).unwrap_or(0);
        (quotient, size.wrapping_sub(quotient.wrapping_mul(divisor)))
    };
    let twice = rest.saturating_mul(2);
    // Halfway is up: away from 0 above it, towards 0 below.
    if dividend >= 0 {
        (quotient + u64::from(twice >= divisor)) as i64
    } else {
        0_i64.wrapping_sub_unsigned(quotient + u64::from(twice > divisor))
    }
}

/// The windows of `span` samples that begin `step` apart.
#[inline(always)]
fn windows<T>(samples: &[T], span: usize, step: usize) -> impl Iterator<Item = &[T]> {
    let step = step.max(1);
    (0..).map_while(move |i: usize| {
        let from = i.checked_mul(step)?;
        samples.get(from..from.checked_add(span)?)
    })
}

/// Computes `of` for each group of `step` samples and those ahead of it; returns the number of
/// groups.
#[inline(always)]
fn groups<T, O>(
    samples: &[T],
    step: usize,
    outputs: &mut [O],
    mut of: impl FnMut(&[T], &[T]) -> O,
) -> usize {
    let mut given = 0;
    for (group, output) in samples.chunks_exact(step.max(1)).zip(outputs) {
        *output = of(group, ahead::of(samples, given * step));
        given += 1;
    }
    given
}

#[cfg(test)]
mod tests {
    use super::nearest_quotient;

    #[test]
    fn nearest_is_the_upper_of_two() {
        for (a, b, nearest) in [
            (7, 2, 4),
            (-7, 2, -3),
            (5, 4, 1),
            (-5, 4, -1),
            (-6, 4, -1),
            (-7, 4, -2),
            (i64::MAX, 1, i64::MAX),
            (i64::MIN, 1, i64::MIN),
            (1 << 40, 1 << 41, 1),
            (-(1 << 40), 1 << 41, 0),
            (0, 5, 0),
            (9, 0, 0),
        ] {
            assert_eq!(nearest_quotient(a, b), nearest, "{a} / {b}");
        }
    }
}
