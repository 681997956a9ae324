//! Two or four samples to a word of 32 bits.
//!
//! Halved samples leave the top bit of their lane free, so that one addition (or subtraction) of
//! a constant sets it in every lane whose half is at or over (at or under) the bound's half. That
//! is so wherever the sample itself is at or beyond the bound, and at most one count short of it:
//! what is found is looked at again sample by sample.

use crate::Slope;

/// Words whose findings are gathered before a branch.
const GROUP: usize = 8;

/// Samples looked at one by one before the first group: fewer than that is no matter of words.
const FEW: usize = 4;

/// A sample that can be scanned for a bound.
pub trait Words: Copy + PartialOrd {
    /// Whether the sample is at or over `bound` (rising) or at or under it (falling).
    #[doc(hidden)]
    fn is_beyond(self, slope: Slope, bound: Self) -> bool;

    /// How many samples come before the first at or over `bound` (rising) or at or under it
    /// (falling); all where there is none.
    #[doc(hidden)]
    fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize;
}

/// Moves `samples` on behind the first at or over `bound` (rising) or at or under it (falling);
/// to their end, and `false`, where there is none.
///
/// A few are looked at one by one before the first word: there a busy signal is decided.
#[inline]
pub(super) fn pass<T: Words>(samples: &mut &[T], slope: Slope, bound: T) -> bool {
    let mut rest = *samples;
    if let Some((&[a, b, c, d], behind)) = rest.split_first_chunk() {
        let hits = |x: T| x.is_beyond(slope, bound);
        let passed = if hits(a) {
            rest.get(1..)
        } else if hits(b) {
            rest.get(2..)
        } else if hits(c) {
            rest.get(3..)
        } else if hits(d) {
            Some(behind)
        } else {
            None
        };
        if let Some(passed) = passed {
            *samples = passed;
            return true;
        }
        rest = behind;
    }
    let found = T::before_beyond(rest, slope, bound);
    *samples = rest.get(found + 1..).unwrap_or(&[]);
    found < rest.len()
}

macro_rules! by_words {
    ($($sample:ty, $unsigned:ty;)*) => {$(
        impl Words for $sample {
            #[inline]
            fn is_beyond(self, slope: Slope, bound: Self) -> bool {
                match slope {
                    Slope::Rising => self >= bound,
                    Slope::Falling => self <= bound,
                }
            }

            #[inline(never)]
            fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize {
                const ONES: u32 = u32::MAX / <$unsigned>::MAX as u32;
                const TOP: u32 = ONES << (<$unsigned>::BITS - 1);
                // Halves of signed samples are made to count up from the lowest.
                const BIAS: u32 = if <$sample>::MIN == 0 { 0 } else { TOP >> 1 };
                const LANES: usize = (u32::BITS / <$unsigned>::BITS) as usize;

                // Functions of their own: their loops want all registers.
                #[inline(never)]
                fn quiet_under(words: &[u32], constant: u32) -> usize {
                    quiet(words, |word| is_over(word, constant))
                }
                #[inline(never)]
                fn quiet_over(words: &[u32], constant: u32) -> usize {
                    quiet(words, |word| is_under(word, constant))
                }
                #[inline]
                fn is_over(word: u32, constant: u32) -> u32 {
                    (((word >> 1) & !TOP) ^ BIAS).wrapping_add(constant) & TOP
                }
                #[inline]
                fn is_under(word: u32, constant: u32) -> u32 {
                    constant.wrapping_sub(((word >> 1) & !TOP) ^ BIAS) & TOP
                }

                let half = u32::from(bound as $unsigned >> 1) ^ BIAS;
                let half = half & u32::from(<$unsigned>::MAX);
                match slope {
                    Slope::Rising => {
                        let constant = TOP - ONES * half;
                        before(
                            samples,
                            LANES,
                            |x| *x >= bound,
                            |word| is_over(word, constant),
                            |words| quiet_under(words, constant),
                        )
                    }
                    Slope::Falling => {
                        let constant = TOP + ONES * half;
                        before(
                            samples,
                            LANES,
                            |x| *x <= bound,
                            |word| is_under(word, constant),
                            |words| quiet_over(words, constant),
                        )
                    }
                }
            }
        }
    )*};
}

by_words! {
    u8, u8;
    i8, u8;
    u16, u16;
    i16, u16;
}

macro_rules! one_by_one {
    ($($sample:ty)*) => {$(
        impl Words for $sample {
            #[inline]
            fn is_beyond(self, slope: Slope, bound: Self) -> bool {
                match slope {
                    Slope::Rising => self >= bound && self <= <$sample>::MAX,
                    Slope::Falling => self <= bound && self >= <$sample>::MIN,
                }
            }

            #[inline(never)]
            fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize {
                let found = match slope {
                    Slope::Rising => samples.iter().position(|&x| x.is_beyond(Slope::Rising, bound)),
                    Slope::Falling => samples.iter().position(|&x| x.is_beyond(Slope::Falling, bound)),
                };
                found.unwrap_or(samples.len())
            }
        }
    )*};
}

one_by_one!(u32 i32 f32);

/// How many samples come before the first that `hits`. A word that may hold such a sample is
/// `near`; `quiet` counts the words in the groups before it.
#[inline]
fn before<T: bytemuck::AnyBitPattern + bytemuck::NoUninit>(
    samples: &[T],
    lanes: usize,
    hits: impl Fn(&T) -> bool,
    near: impl Fn(u32) -> u32,
    quiet: impl Fn(&[u32]) -> usize,
) -> usize {
    let few = samples.get(..FEW).unwrap_or(samples);
    if let Some(found) = few.iter().position(&hits) {
        return found;
    }
    let mut from = few.len();
    while let Some(rest) = samples.get(from..) {
        let (head, words, _) = bytemuck::pod_align_to::<T, u32>(rest);
        if let Some(found) = head.iter().position(&hits) {
            return from + found;
        }
        let quiet = quiet(words);
        let rest = words.get(quiet..).unwrap_or(&[]);
        let quiet = quiet + rest.iter().take_while(|&&word| near(word) == 0).count();
        from += head.len() + quiet * lanes;
        // What follows is near the bound, or the end.
        let rest = samples.get(from..).unwrap_or(&[]);
        let few = rest.get(..FEW).unwrap_or(rest);
        if let Some(found) = few.iter().position(&hits) {
            return from + found;
        }
        from += few.len();
        if few.len() == rest.len() {
            break;
        }
    }
    samples.len()
}

/// How many words are in the groups before the first with one that is `near`.
#[inline]
fn quiet(words: &[u32], near: impl Fn(u32) -> u32) -> usize {
    let (groups, _) = words.as_chunks::<GROUP>();
    let mut left = groups.iter();
    match left.find(|group| group.iter().fold(0, |any, &word| any | near(word)) != 0) {
        Some(_) => (groups.len() - left.len() - 1) * GROUP,
        None => groups.len() * GROUP,
    }
}
