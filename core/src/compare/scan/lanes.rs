//! Samples against bounds in vectors, on whatever the processor has.

use fearless_simd::{
    Simd, SimdBase, SimdMask, f32x16, i8x64, i16x32, i32x16, u8x64, u16x32, u32x16,
};

use super::latch::Masks;

/// A sample that can be compared in vectors.
pub(super) trait Lanes: Copy + Default {
    /// Which of 64 samples are at or over `high`, and which at or under `low`.
    fn sides<S: Simd>(simd: S, samples: &[Self; 64], high: Self, low: Self) -> (u64, u64);

    /// Whether a sample may be at or over `bound`. Says yes too often only for infinite ones.
    fn any_over<S: Simd>(simd: S, samples: &[Self], bound: Self) -> bool;

    /// Whether a sample may be at or under `bound`. Says yes too often only for infinite ones.
    fn any_under<S: Simd>(simd: S, samples: &[Self], bound: Self) -> bool;
}

/// As [`Lanes::sides`].
#[inline(always)]
pub(super) fn masks<S: Simd, T: Lanes>(
    simd: S,
    samples: &[T; 64],
    bounds: super::Bounds<T>,
) -> Masks {
    let (high, low) = T::sides(simd, samples, bounds.high, bounds.low);
    Masks { high, low }
}

macro_rules! lanes {
    ($($sample:ty, $vector:ident, $lanes:literal, $finite:expr;)*) => {$(
        impl Lanes for $sample {
            #[inline(always)]
            fn sides<S: Simd>(simd: S, samples: &[Self; 64], high: Self, low: Self) -> (u64, u64) {
                let (mut over, mut under) = (0, 0);
                let (parts, _) = samples.as_chunks::<$lanes>();
                for (i, part) in parts.iter().enumerate() {
                    let x = $vector::load_array_ref(simd, part);
                    let finite = $finite;
                    over |= finite(x, x.simd_ge(high)).to_bitmask() << (i * $lanes);
                    under |= finite(x, x.simd_le(low)).to_bitmask() << (i * $lanes);
                }
                (over, under)
            }

            #[inline(always)]
            fn any_over<S: Simd>(_: S, samples: &[Self], bound: Self) -> bool {
                samples.iter().fold(false, |any, &x| any | (x >= bound))
            }

            #[inline(always)]
            fn any_under<S: Simd>(_: S, samples: &[Self], bound: Self) -> bool {
                samples.iter().fold(false, |any, &x| any | (x <= bound))
            }
        }
    )*};
}

lanes! {
    u8, u8x64, 64, |_, sides| sides;
    i8, i8x64, 64, |_, sides| sides;
    u16, u16x32, 32, |_, sides| sides;
    i16, i16x32, 32, |_, sides| sides;
    u32, u32x16, 16, |_, sides| sides;
    i32, i32x16, 16, |_, sides| sides;
    f32, f32x16, 16, |x: f32x16<S>, sides| x.abs().simd_le(f32::MAX) & sides;
}
