//! Loops in vectors.

use fearless_simd::{
    Simd, SimdBase, SimdFrom, SimdMask, f32x16, i8x64, i16x32, i32x16, u8x64, u16x32, u32x16,
};

use crate::decimate::Extent;
use crate::{Sample, ahead};

/// A whole number that is compared in vectors.
pub(super) trait Lanes: Sample {
    /// The extent of some samples.
    fn extent_in_vectors<S: Simd>(simd: S, samples: &[Self]) -> Extent<Self>;
}

/// The extent of some samples.
#[inline(always)]
pub(super) fn extent<S: Simd, T: Lanes>(simd: S, samples: &[T]) -> Extent<T> {
    T::extent_in_vectors(simd, samples)
}

macro_rules! lanes {
    ($($sample:ty, $vector:ident, $lanes:literal;)*) => {$(
        impl Lanes for $sample {
            #[inline(always)]
            fn extent_in_vectors<S: Simd>(simd: S, samples: &[Self]) -> Extent<Self> {
                let (chunks, _) = samples.as_chunks::<$lanes>();
                let Some(last) = samples.last_chunk::<$lanes>() else {
                    return samples.iter().fold(Extent::EMPTY, |extent, &x| Extent {
                        minimum: extent.minimum.min(x),
                        maximum: extent.maximum.max(x),
                    });
                };
                // The last ones once more, some of them: twice the same sample is no matter.
                let mut low = $vector::load_array_ref(simd, last);
                let mut high = low;
                let (pairs, odd) = chunks.as_chunks::<2>();
                for [a, b] in pairs {
                    let (a, b) = ($vector::load_array_ref(simd, a), $vector::load_array_ref(simd, b));
                    low = low.min(a.min(b));
                    high = high.max(a.max(b));
                }
                for a in odd {
                    let a = $vector::load_array_ref(simd, a);
                    low = low.min(a);
                    high = high.max(a);
                }
                Extent { minimum: low.reduce_min(), maximum: high.reduce_max() }
            }
        }
    )*};
}

lanes! {
    u8, u8x64, 64;
    i8, i8x64, 64;
    u16, u16x32, 32;
    i16, i16x32, 32;
    u32, u32x16, 16;
    i32, i32x16, 16;
}

/// The extent of samples that are all finite, with calls for the `next`; `None` where they are not,
/// or are few.
#[inline(always)]
pub(super) fn if_finite<S: Simd>(simd: S, samples: &[f32], next: &[f32]) -> Option<Extent<f32>> {
    let mut coming = next.as_chunks::<16>().0.as_chunks::<4>().0.iter();
    let (fours, rest) = samples.as_chunks::<16>().0.as_chunks::<4>();
    let last = f32x16::load_array_ref(simd, samples.last_chunk()?);
    let [mut low, mut high] = [[last; 4]; 2];
    let mut finite = last.abs().simd_le(f32::MAX);
    for four in fours {
        if let Some(four) = coming.next() {
            ahead::call(four.as_flattened(), 64);
        }
        for ((low, high), x) in low.iter_mut().zip(&mut high).zip(four) {
            let x = f32x16::load_array_ref(simd, x);
            *low = low.min(x);
            *high = high.max(x);
            finite &= x.abs().simd_le(f32::MAX);
        }
    }
    for ((low, high), x) in low.iter_mut().zip(&mut high).zip(rest) {
        let x = f32x16::load_array_ref(simd, x);
        *low = low.min(x);
        *high = high.max(x);
        finite &= x.abs().simd_le(f32::MAX);
    }
    let minimum = low.into_iter().fold(last, SimdBase::min).reduce_min();
    let maximum = high.into_iter().fold(last, SimdBase::max).reduce_max();
    finite.all_true().then_some(Extent { minimum, maximum })
}

/// A sample that is added in vectors.
pub(super) trait Added: Sample {
    /// The sum of some samples, which fits.
    fn sum_in_vectors<S: Simd>(simd: S, samples: &[Self]) -> Self::Wide;
}

/// The sum of some samples, which fits.
#[inline(always)]
pub(super) fn sum<S: Simd, T: Added>(simd: S, samples: &[T]) -> T::Wide {
    T::sum_in_vectors(simd, samples)
}

/// Two samples of 16 bits in a lane of 32: both halves are added to it.
macro_rules! by_halves {
    ($($sample:ty, $vector:ident, $lane:ty, $halves:expr;)*) => {$(
        impl Added for $sample {
            #[inline(always)]
            fn sum_in_vectors<S: Simd>(simd: S, samples: &[Self]) -> i32 {
                let (chunks, rest) = samples.as_chunks::<32>();
                let halves = $halves;
                let load = |chunk: &[Self; 32]| {
                    $vector::simd_from(simd, bytemuck::cast::<[Self; 32], [$lane; 16]>(*chunk))
                };
                let [mut one, mut other] = [$vector::splat(simd, 0); 2];
                let (pairs, odd) = chunks.as_chunks::<2>();
                for [a, b] in pairs {
                    one += halves(load(a));
                    other += halves(load(b));
                }
                for a in odd {
                    one += halves(load(a));
                }
                let rest = rest.iter().fold(0, |sum: i32, &x| sum.wrapping_add(i32::from(x)));
                ((one + other).reduce_sum() as i32).wrapping_add(rest)
            }
        }
    )*};
}

by_halves! {
    u16, u32x16, u32, |words: u32x16<S>| (words & 0xffff) + (words >> 16);
    i16, i32x16, i32, |words: i32x16<S>| ((words << 16) >> 16) + (words >> 16);
}

/// Four bytes in a lane of 32 bits, by way of lanes of 16. `flip` makes them count up from 0.
#[inline(always)]
fn sum_of_bytes<S: Simd>(simd: S, bytes: &[[u8; 64]], flip: u16) -> u32 {
    let mut sum = u32x16::splat(simd, 0);
    // No more than a lane of 16 bits counts.
    for some in bytes.chunks(128) {
        let mut lanes = u16x32::splat(simd, 0);
        for chunk in some {
            let words = u16x32::simd_from(simd, bytemuck::cast::<[u8; 64], [u16; 32]>(*chunk));
            let words = words ^ flip;
            lanes += (words & 0xff) + (words >> 8);
        }
        let lanes = u32x16::simd_from(simd, bytemuck::cast::<[u16; 32], [u32; 16]>(*lanes));
        sum += (lanes & 0xffff) + (lanes >> 16);
    }
    sum.reduce_sum()
}

impl Added for u8 {
    #[inline(always)]
    fn sum_in_vectors<S: Simd>(simd: S, samples: &[u8]) -> i32 {
        let (chunks, rest) = samples.as_chunks::<64>();
        let rest: u32 = rest.iter().map(|&x| u32::from(x)).sum();
        sum_of_bytes(simd, chunks, 0).wrapping_add(rest) as i32
    }
}

impl Added for i8 {
    #[inline(always)]
    fn sum_in_vectors<S: Simd>(simd: S, samples: &[i8]) -> i32 {
        let (chunks, rest) = bytemuck::cast_slice::<i8, u8>(samples).as_chunks::<64>();
        let rest: i32 = rest.iter().map(|&x| i32::from(x as i8)).sum();
        let bias = (chunks.len() * 64 * 128) as u32;
        (sum_of_bytes(simd, chunks, 0x8080).wrapping_sub(bias) as i32).wrapping_add(rest)
    }
}

macro_rules! one_by_one {
    ($($sample:ty)*) => {$(
        impl Added for $sample {
            #[inline(always)]
            fn sum_in_vectors<S: Simd>(_: S, samples: &[Self]) -> i64 {
                let mut lanes = [0_i64; 16];
                let (chunks, rest) = samples.as_chunks::<16>();
                for chunk in chunks.iter() {
                    lanes.iter_mut().zip(chunk).for_each(|(sum, &x)| *sum += i64::from(x));
                }
                lanes.iter_mut().zip(rest).for_each(|(sum, &x)| *sum += i64::from(x));
                lanes.into_iter().sum()
            }
        }
    )*};
}

one_by_one!(u32 i32);
