//! A first-order filter, with integer arithmetic for integer samples.
//!
//! With g = t / (1 + t) and the state s, each sample x gives
//! ```text
//! v = g (x − s)      low-pass  l = s + v      then  s = l + v
//!                    high-pass     x − l
//! ```
//! which is the bilinear transform of an RC filter, with one multiplication. As g is less than a
//! half, s stays between the samples there have been: nothing can overflow.

use super::Coupling;

/// One channel through a coupling.
#[derive(Clone, Debug)]
pub(crate) struct Filter<T: Filterable> {
    /// The state; `None` before the first sample.
    state: Option<T::State>,
}

impl<T: Filterable> Default for Filter<T> {
    fn default() -> Self {
        Self { state: None }
    }
}

impl<T: Filterable> Filter<T> {
    /// Forgets the signal.
    pub(crate) fn reset(&mut self) {
        self.state = None;
    }

    /// Filters samples, as many as there is room for.
    #[inline]
    pub(crate) fn pass(&mut self, coupling: Coupling, samples: &[T], out: &mut [T]) {
        match coupling {
            Coupling::Dc => out.iter_mut().zip(samples).for_each(|(out, &x)| *out = x),
            Coupling::Ac(corner) | Coupling::LowReject(corner) => {
                T::pass::<true>(&mut self.state, corner.parts(), samples, out);
            }
            Coupling::HighReject(corner) => {
                T::pass::<false>(&mut self.state, corner.parts(), samples, out);
            }
        }
    }
}

/// Samples that can be filtered.
pub trait Filterable: Copy {
    /// What a filter remembers.
    type State: Copy + core::fmt::Debug + Send + Sync;

    /// Filters samples with a high-pass or a low-pass of `gain` g, in 1/2³² and less than a half.
    fn pass<const HIGH: bool>(
        state: &mut Option<Self::State>,
        gain: u32,
        samples: &[Self],
        out: &mut [Self],
    );
}

/// The number of fraction bits in the state of an integer filter. With it, the widest difference of
/// two 32-bit samples takes 62 bits.
const FRACTION: u32 = 28;

/// `gain · difference`, rounded down. It takes two multiplications on chips with 64-bit products.
/// The gain is less than a half; the difference has 62 bits.
#[cfg(not(all(target_arch = "arm", not(target_has_atomic = "32"))))]
#[inline]
fn scaled(difference: i64, gain: u32) -> i64 {
    let (high, low) = ((difference >> 32) as i32, difference as u32);
    let low = (u64::from(low) * u64::from(gain)) >> 32;
    i64::from(high) * i64::from(gain as i32) + low as i64
}

/// The same for chips whose products have 32 bits.
#[cfg(all(target_arch = "arm", not(target_has_atomic = "32")))]
#[inline]
fn scaled(difference: i64, gain: u32) -> i64 {
    scaled_by_halves(difference, gain)
}

#[cfg(any(test, all(target_arch = "arm", not(target_has_atomic = "32"))))]
#[inline]
fn scaled_by_halves(difference: i64, gain: u32) -> i64 {
    const HALF: u32 = 0xffff;
    let (high, low) = ((difference >> 32) as i32, difference as u32);
    // Of 15 and of 16 bits.
    let (g1, g0) = (gain >> 16, gain & HALF);
    let below = {
        let (l1, l0) = (low >> 16, low & HALF);
        // Two products of 31 bits and one of 32 in the middle.
        let (middle, carry) = (((l0 * g0) >> 16) + l0 * g1).overflowing_add(l1 * g0);
        l1 * g1 + (middle >> 16) + (u32::from(carry) << 16)
    };
    let (h1, h0) = (high >> 16, high as u32 & HALF);
    let middle = i64::from(h1 * g0 as i32) + i64::from(h0 * g1);
    let ends = i64::from(h1 * g1 as i32) << 32 | i64::from(h0 * g0);
    ends + (middle << 16) + i64::from(below)
}

/// Rounds to the nearest whole number, halves upwards.
#[inline]
fn rounded(value: i64) -> i64 {
    (value + (1 << (FRACTION - 1))) >> FRACTION
}

macro_rules! integer {
    ($($sample:ty)*) => {$(
        #[allow(clippy::cast_lossless)]
        impl Filterable for $sample {
            type State = i64;

            #[inline]
            fn pass<const HIGH: bool>(
                state: &mut Option<i64>,
                gain: u32,
                samples: &[Self],
                out: &mut [Self],
            ) {
                type Wide = <$sample as crate::Sample>::Wide;
                let (min, max) = (Wide::from(Self::MIN), Wide::from(Self::MAX));
                let Some(&first) = samples.first() else { return };
                let mut s = state.unwrap_or(i64::from(first) << FRACTION);
                for (out, &sample) in out.iter_mut().zip(samples) {
                    let difference = (i64::from(sample) << FRACTION) - s;
                    let v = scaled(difference, gain);
                    // A level is wide enough for every difference of samples.
                    let passed = if HIGH {
                        rounded(difference - v) as Wide + <Self as crate::Sample>::MIDDLE as Wide
                    } else {
                        rounded(s + v) as Wide
                    };
                    *out = passed.clamp(min, max) as Self;
                    s += 2 * v;
                }
                *state = Some(s);
            }
        }
    )*};
}

integer! { u8 i8 u16 i16 u32 i32 }

/// It works in `f64`, so that no difference of two samples overflows and the small steps of a low
/// corner are not lost in a large mean. Samples that are not finite pass unchanged and change
/// nothing.
impl Filterable for f32 {
    type State = f64;

    #[inline]
    fn pass<const HIGH: bool>(
        state: &mut Option<f64>,
        gain: u32,
        samples: &[f32],
        out: &mut [f32],
    ) {
        let gain = f64::from(gain) / 4_294_967_296.0;
        for (out, &sample) in out.iter_mut().zip(samples) {
            if !sample.is_finite() {
                *out = sample;
                continue;
            }
            let s = state.unwrap_or(f64::from(sample));
            let difference = f64::from(sample) - s;
            let v = gain * difference;
            let passed = if HIGH { difference - v } else { s + v };
            *out = passed.clamp(f32::MIN.into(), f32::MAX.into()) as f32;
            *state = Some(s + v + v);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{scaled, scaled_by_halves};
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(100_000))]

        #[test]
        fn halves_make_the_same_product(
            difference in prop_oneof![-(1_i64 << 61)..1 << 61, -(1_i64 << 45)..1 << 45],
            gain in 1..1_u32 << 31,
        ) {
            prop_assert_eq!(scaled_by_halves(difference, gain), scaled(difference, gain));
        }
    }
}
