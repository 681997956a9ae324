//! Whole numbers.

use super::fine::Whole;
#[cfg(vectors)]
use super::wide as loops;
#[cfg(not(vectors))]
use super::words as loops;
use super::{Reducible, groups, nearest_quotient, windows};
use crate::ahead;
use crate::decimate::Extent;
use crate::vectors::Vectors;

macro_rules! integer {
    ($($sample:ty, $wide:ty, $most:expr, $most_records:expr, $product:expr, $bias:literal;)*) => {$(
        #[allow(clippy::cast_lossless)]
        impl Reducible for $sample {
            type Partial = $wide;
            type Tap = i16;
            type Fine = i64;

            const MOST: u32 = $most;
            const MOST_RECORDS: u64 = $most_records;

            #[inline]
            fn extent(vectors: Vectors, samples: &[Self]) -> (Extent<Self>, u64) {
                (in_vectors!(vectors, simd => loops::extent(simd, samples)), 0)
            }

            #[inline]
            fn extents(
                vectors: Vectors,
                samples: &[Self],
                step: usize,
                extents: &mut [Extent<Self>],
            ) -> (usize, u64) {
                let given = in_vectors!(vectors, simd => {
                    groups(samples, step, extents, |group, next| {
                        ahead::call(next, step);
                        loops::extent(simd, group)
                    })
                });
                (given, 0)
            }

            #[inline]
            fn sum_into(vectors: Vectors, partial: &mut $wide, _: u32, samples: &[Self]) {
                let sum = in_vectors!(vectors, simd => loops::sum(simd, samples));
                *partial = partial.wrapping_add(sum);
            }

            #[inline]
            fn close(partial: $wide) -> $wide {
                partial
            }

            #[inline]
            fn sums(vectors: Vectors, samples: &[Self], step: usize, sums: &mut [$wide]) -> usize {
                in_vectors!(vectors, simd => {
                    groups(samples, step, sums, |group, next| {
                        ahead::call(next, step);
                        loops::sum(simd, group)
                    })
                })
            }

            #[inline]
            fn mean(sum: $wide, count: u32) -> Self {
                let nearest = nearest_quotient(sum as i64, count as i64);
                nearest.clamp(Self::MIN as i64, Self::MAX as i64) as Self
            }

            fn total(taps: &[i16]) -> Option<i64> {
                // Sizes up to 65535 keep sums of products within 32 bits, of 16-bit samples whose
                // middle is 0.
                let size: u64 = taps.iter().map(|tap| u64::from(tap.unsigned_abs())).sum();
                (size <= 65535).then(|| taps.iter().map(|&tap| i64::from(tap)).sum())
            }

            fn gain(taps: &[i16]) -> f64 {
                taps.iter().map(|&tap| i64::from(tap)).sum::<i64>() as f64 / 32768.0
            }

            #[inline]
            fn dots(
                vectors: Vectors,
                samples: &[Self],
                taps: &[i16],
                step: usize,
                (total, gained): (i64, u32),
                outputs: &mut [$wide],
            ) -> usize {
                #[inline(always)]
                fn dots(
                    samples: &[$sample],
                    taps: &[i16],
                    step: usize,
                    (total, gained): (i64, u32),
                    outputs: &mut [$wide],
                ) -> usize {
                    let product = $product;
                    let shift = 15_u32.saturating_sub(gained);
                    let half = (1_i64 << shift) >> 1;
                    let mut given = 0;
                    for (window, output) in windows(samples, taps.len(), step).zip(outputs) {
                        let sum = window
                            .iter()
                            .zip(taps)
                            .fold(0, |sum: $wide, (&x, &tap)| sum.wrapping_add(product(x, tap)));
                        *output = ((sum as i64 + total * $bias + half) >> shift) as $wide;
                        given += 1;
                    }
                    given
                }
                in_vectors!(vectors, simd => dots(samples, taps, step, (total, gained), outputs))
            }

            #[inline]
            fn average_into(
                column: &mut i64,
                (before, this, lead): (Self, Self, u32),
                count: u64,
                shift: Option<u32>,
            ) {
                Whole::between(before as i64, this as i64, lead).join(column, count, shift);
            }

            fn averaged(column: i64, count: u64) -> f64 {
                column as f64 / (count as f64 * 65536.0)
            }

            fn averaged_sample(column: i64, count: u64) -> Self {
                let nearest = nearest_quotient(column, (count as i64).saturating_mul(65536));
                nearest.clamp(Self::MIN as i64, Self::MAX as i64) as Self
            }
        }
    )*};
}

integer! {
    u8, i32, 1 << 23, 1 << 31, |x: u8, tap: i16| x as i32 * tap as i32, 0;
    i8, i32, 1 << 24, 1 << 31, |x: i8, tap: i16| x as i32 * tap as i32, 0;
    // Less its middle, so that products are of 16 by 16 bits.
    u16, i32, 1 << 15, 1 << 31, |x: u16, tap: i16| (x ^ 0x8000) as i16 as i32 * tap as i32, 32768;
    i16, i32, 1 << 16, 1 << 31, |x: i16, tap: i16| x as i32 * tap as i32, 0;
    u32, i64, 1 << 31, 1 << 15, |x: u32, tap: i16| x as i64 * tap as i64, 0;
    i32, i64, 1 << 31, 1 << 15, |x: i32, tap: i16| x as i64 * tap as i64, 0;
}
