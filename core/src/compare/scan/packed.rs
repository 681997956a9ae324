//! Two or four samples to a word of 32 bits.
//!
//! Halved samples leave the top bit of their lane free, so that one addition (or subtraction) of
//! a constant sets it in every lane whose half is at or over (at or under) the bound's half. That
//! is so wherever the sample itself is at or beyond the bound, and at most one count short of it:
//! what is found is looked at again sample by sample.

use core::ops::{BitXor, Not};

/// A sample of which a word holds several.
pub(super) trait Packed:
    Ord + BitXor<Output = Self> + Not<Output = Self> + bytemuck::AnyBitPattern + bytemuck::NoUninit
{
    /// 1 in every lane.
    const ONES: u32;
    /// The top bit of every lane.
    const TOP: u32;
    /// What makes halves of signed samples count up from the lowest.
    const BIAS: u32;
    const ZERO: Self;

    /// The sample in the lowest lane.
    fn to_word(self) -> u32;

    fn successor(self) -> Self;
    fn predecessor(self) -> Self;
}

/// The halves of all samples in a word, counted up from the lowest.
#[inline]
pub(super) fn halves<T: Packed>(word: u32) -> u32 {
    ((word >> 1) & !T::TOP) ^ T::BIAS
}

/// What, added to halves, sets the top bit where the sample may be at or over `bound`.
#[inline]
pub(super) fn over<T: Packed>(bound: T) -> u32 {
    T::TOP - halves::<T>(bound.to_word() * T::ONES)
}

/// That from which halves are subtracted to set the top bit where the sample may be at or under
/// `bound`.
#[inline]
pub(super) fn under<T: Packed>(bound: T) -> u32 {
    T::TOP + halves::<T>(bound.to_word() * T::ONES)
}

/// The top bit of every lane whose sample may be from one bound on to another; the bounds as
/// [`over`] and [`under`] give them.
#[inline]
pub(super) fn inside<T: Packed>(word: u32, over: u32, under: u32) -> u32 {
    let halves = halves::<T>(word);
    halves.wrapping_add(over) & under.wrapping_sub(halves) & T::TOP
}

/// As [`inside`], of samples beyond either bound.
#[inline]
pub(super) fn outside<T: Packed>(word: u32, over: u32, under: u32) -> u32 {
    let halves = halves::<T>(word);
    (halves.wrapping_add(over) | under.wrapping_sub(halves)) & T::TOP
}

/// The bounds of a band for [`outside_of_few`], where it is of two samples or more and of less than
/// half of all.
#[inline]
pub(super) fn of_few<T: Packed>(low: T, high: T) -> Option<(u32, u32)> {
    let lane = u32::MAX / T::ONES;
    let half = T::TOP & lane;
    let [low_word, high_word] = [low, high].map(T::to_word);
    let width = high_word.wrapping_sub(low_word) & lane;
    let over = half.wrapping_sub(high_word).wrapping_sub(1) & lane;
    let under = half.wrapping_add(low_word) & lane;
    (low < high && width < half - 1).then_some((over * T::ONES, under * T::ONES))
}

/// As [`outside`], of whole samples: a sum's top bit says that the sample is up to half of all
/// samples past the one bound, and a difference's past the other, and together they reach round.
/// A lane that does so may take one from the next; the lower bound is a count nearer for that.
#[inline]
pub(super) fn outside_of_few<T: Packed>(word: u32, over: u32, under: u32) -> u32 {
    (word.wrapping_add(over) | under.wrapping_sub(word)) & T::TOP
}

macro_rules! packed {
    ($($sample:ty, $unsigned:ty;)*) => {$(
        impl Packed for $sample {
            const ONES: u32 = u32::MAX / <$unsigned>::MAX as u32;
            const TOP: u32 = Self::ONES << (<$unsigned>::BITS - 1);
            const BIAS: u32 = if <$sample>::MIN == 0 { 0 } else { Self::TOP >> 1 };
            const ZERO: Self = 0;

            #[inline]
            fn to_word(self) -> u32 {
                u32::from(self as $unsigned)
            }

            #[inline]
            fn successor(self) -> Self {
                self.saturating_add(1)
            }

            #[inline]
            fn predecessor(self) -> Self {
                self.saturating_sub(1)
            }
        }
    )*};
}

packed! {
    u8, u8;
    i8, u8;
    u16, u16;
    i16, u16;
}

#[cfg(test)]
mod tests {
    use super::{Packed, of_few, outside_of_few};
    use proptest::prelude::*;

    /// A word says so of every sample beyond, and of none a count within.
    fn check<T: Packed + core::fmt::Debug, const N: usize>(
        lanes: [T; N],
        low: T,
        high: T,
    ) -> Result<(), TestCaseError> {
        let Some((over, under)) = of_few(low, high) else { return Ok(()) };
        let word = bytemuck::pod_read_unaligned::<u32>(bytemuck::cast_slice(&lanes));
        let found = outside_of_few::<T>(word, over, under) != 0;
        let any = |low: T, high: T| lanes.iter().any(|&x| x < low || x > high);
        prop_assert!(found || !any(low, high), "{lanes:?} from {low:?} to {high:?}");
        prop_assert!(!found || any(low.successor(), high.predecessor()));
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]
        #[test]
        fn words_beside_a_band(bytes in any::<[u8; 4]>(), low in any::<u8>(), span in 0..130_u8) {
            let high = low.saturating_add(span);
            check(bytes, low, high)?;
            check(bytes.map(|x| x as i8), low as i8, high as i8)?;
        }

        #[test]
        fn wider_words_beside_a_band(
            lanes in prop::array::uniform2(prop_oneof![any::<u16>(), Just(0), Just(u16::MAX)]),
            low in prop_oneof![any::<u16>(), Just(0), Just(1)],
            span in prop_oneof![0..33_000_u16, 0..3_u16],
        ) {
            let high = low.saturating_add(span);
            let near = lanes.map(|x| low.wrapping_add(x % 4).wrapping_sub(2));
            let far = lanes.map(|x| high.wrapping_add(x % 4).wrapping_sub(2));
            for lanes in [lanes, near, far] {
                check(lanes, low, high)?;
                check(lanes.map(|x| x as i16), low as i16, high as i16)?;
            }
        }
    }
}
