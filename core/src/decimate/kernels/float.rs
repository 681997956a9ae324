//! `f32`: the same strands on every machine, so that sums agree to the bit.

use super::fine::join_real;
#[cfg(vectors)]
use super::wide::if_finite;
use super::{Reducible, groups, windows};
use crate::decimate::Extent;
use crate::vectors::Vectors;

/// Strands of a sum.
const STRANDS: usize = 16;
/// Strands of a weighted sum.
const TAP_STRANDS: usize = 8;

impl Reducible for f32 {
    type Partial = [f32; STRANDS];
    type Tap = f32;
    type Fine = f64;

    const MOST: u32 = u32::MAX;
    const MOST_RECORDS: u64 = u64::MAX;

    #[inline]
    fn extent(vectors: Vectors, samples: &[f32]) -> (Extent<f32>, u64) {
        let mut extents = [Extent::EMPTY];
        let (_, non_finite) = Self::extents(vectors, samples, samples.len(), &mut extents);
        let [extent] = extents;
        (extent, non_finite)
    }

    #[inline]
    fn extents(
        vectors: Vectors,
        samples: &[f32],
        step: usize,
        out: &mut [Extent<f32>],
    ) -> (usize, u64) {
        in_vectors!(vectors, simd => extents(simd, samples, step, out, if_finite))
    }

    #[inline]
    fn sum_into(_: Vectors, partial: &mut [f32; STRANDS], filled: u32, samples: &[f32]) {
        let mut strand = filled as usize % STRANDS;
        for &x in samples {
            if let Some(sum) = partial.get_mut(strand) {
                *sum += x;
            }
            strand = (strand + 1) % STRANDS;
        }
    }

    #[inline]
    fn close(partial: [f32; STRANDS]) -> f32 {
        joined(partial)
    }

    #[inline]
    fn sums(vectors: Vectors, samples: &[f32], step: usize, sums: &mut [f32]) -> usize {
        in_vectors!(vectors, simd => groups(samples, step, sums, |group, _| sum(group)))
    }

    #[inline]
    fn mean(sum: f32, count: u32) -> f32 {
        sum / count as f32
    }

    fn total(taps: &[f32]) -> Option<i64> {
        taps.iter().all(|tap| tap.is_finite()).then_some(0)
    }

    fn gain(taps: &[f32]) -> f64 {
        taps.iter().map(|&tap| f64::from(tap)).sum()
    }

    #[inline]
    fn dots(
        vectors: Vectors,
        samples: &[f32],
        taps: &[f32],
        step: usize,
        _: (i64, u32),
        outputs: &mut [f32],
    ) -> usize {
        in_vectors!(vectors, simd => dots(samples, taps, step, outputs))
    }

    #[inline]
    fn average_into(column: &mut f64, at: (f32, f32, u32), count: u64, shift: Option<u32>) {
        join_real(column, at, count, shift);
    }

    fn averaged(column: f64, _: u64) -> f64 {
        column
    }

    fn averaged_sample(column: f64, _: u64) -> f32 {
        column as f32
    }
}

#[inline(always)]
fn extents<S: Copy>(
    simd: S,
    samples: &[f32],
    step: usize,
    out: &mut [Extent<f32>],
    if_finite: impl Fn(S, &[f32], &[f32]) -> Option<Extent<f32>>,
) -> (usize, u64) {
    let mut non_finite = 0;
    let given = groups(samples, step, out, |group, next| {
        let extent = if_finite(simd, group, next).unwrap_or_else(|| {
            let (extent, counted) = one_by_one(group);
            non_finite += counted;
            extent
        });
        // Which zero comes first must not matter: a negative one becomes positive.
        Extent { minimum: extent.minimum + 0.0, maximum: extent.maximum + 0.0 }
    });
    (given, non_finite)
}

/// Without vectors nothing is gained by looking twice.
#[cfg(not(vectors))]
fn if_finite(_: Vectors, _: &[f32], _: &[f32]) -> Option<Extent<f32>> {
    None
}

/// The extent of any samples, and how many are not finite.
#[inline(never)]
fn one_by_one(group: &[f32]) -> (Extent<f32>, u64) {
    let (mut extent, mut finite) = (Extent::EMPTY, 0_u32);
    for &x in group {
        if x.is_finite() {
            finite += 1;
            extent.minimum = if x < extent.minimum { x } else { extent.minimum };
            extent.maximum = if x > extent.maximum { x } else { extent.maximum };
        }
    }
    (extent, (group.len() as u64).saturating_sub(u64::from(finite)))
}

#[inline(always)]
fn sum(group: &[f32]) -> f32 {
    let mut strands = [0.0; STRANDS];
    let (chunks, rest) = group.as_chunks::<STRANDS>();
    for chunk in chunks {
        strands.iter_mut().zip(chunk).for_each(|(sum, &x)| *sum += x);
    }
    strands.iter_mut().zip(rest).for_each(|(sum, &x)| *sum += x);
    joined(strands)
}

#[inline(always)]
fn dots(samples: &[f32], taps: &[f32], step: usize, outputs: &mut [f32]) -> usize {
    let (tap_chunks, tap_rest) = taps.as_chunks::<TAP_STRANDS>();
    let mut given = 0;
    for (window, output) in windows(samples, taps.len(), step).zip(outputs) {
        let mut strands = [0.0; TAP_STRANDS];
        let (chunks, rest) = window.as_chunks::<TAP_STRANDS>();
        for (chunk, taps) in chunks.iter().zip(tap_chunks) {
            let products = chunk.iter().zip(taps).map(|(&x, &tap)| x * tap);
            strands.iter_mut().zip(products).for_each(|(sum, product)| *sum += product);
        }
        let products = rest.iter().zip(tap_rest).map(|(&x, &tap)| x * tap);
        strands.iter_mut().zip(products).for_each(|(sum, product)| *sum += product);
        *output = joined(strands);
        given += 1;
    }
    given
}

/// The sum of strands: the upper half upon the lower, until one is left.
#[inline(always)]
fn joined<const N: usize>(mut strands: [f32; N]) -> f32 {
    let mut half = N / 2;
    while half > 0 {
        let (low, high) = strands.split_at_mut(half.min(N));
        low.iter_mut().zip(high).for_each(|(sum, x)| *sum += *x);
        half /= 2;
    }
    strands.first().copied().unwrap_or(0.0)
}
