//! The search in words of 32 bits, for processors without vectors.

use super::packed::{Packed, halves, inside, of_few, outside, outside_of_few, over, under};
use crate::Slope;

/// Words whose findings are gathered before a branch.
const GROUP: usize = 8;

/// Samples looked at one by one before the first word: fewer than that is no matter of words.
const FEW: usize = 4;

/// A sample that can be scanned for bounds.
pub trait Words: Copy + PartialOrd {
    /// Whether the sample is at or over `bound` (rising) or at or under it (falling).
    #[doc(hidden)]
    fn is_beyond(self, slope: Slope, bound: Self) -> bool;

    /// How many samples come before the first at or over `bound` (rising) or at or under it
    /// (falling); all where there is none.
    #[doc(hidden)]
    fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize;

    /// How many samples come before the first from `low` to `high`; all where there is none.
    #[doc(hidden)]
    fn before_inside(samples: &[Self], low: Self, high: Self) -> usize;

    /// How many samples come before the first under `low` or over `high`; all where there is none.
    #[doc(hidden)]
    fn before_outside(samples: &[Self], low: Self, high: Self) -> usize;
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

// Functions of their own: their loops want all registers.

#[inline(never)]
fn none_over<T: Packed>(words: &[u32], over: u32) -> usize {
    quiet_groups(words, |word| halves::<T>(word).wrapping_add(over) & T::TOP)
}

#[inline(never)]
fn none_under<T: Packed>(words: &[u32], under: u32) -> usize {
    quiet_groups(words, |word| under.wrapping_sub(halves::<T>(word)) & T::TOP)
}

#[inline(never)]
fn none_inside<T: Packed>(words: &[u32], over: u32, under: u32) -> usize {
    quiet_groups(words, |word| inside::<T>(word, over, under))
}

#[inline(never)]
fn none_outside<T: Packed>(words: &[u32], over: u32, under: u32) -> usize {
    quiet_groups(words, |word| outside::<T>(word, over, under))
}

#[inline(never)]
fn none_outside_of_few<T: Packed>(words: &[u32], over: u32, under: u32) -> usize {
    quiet_groups(words, |word| outside_of_few::<T>(word, over, under))
}

macro_rules! by_words {
    ($($sample:ty)*) => {$(
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
                before_beyond(samples, slope, bound)
            }

            #[inline(never)]
            fn before_inside(samples: &[Self], low: Self, high: Self) -> usize {
                let (over, under) = (over(low), under(high));
                before(
                    samples,
                    |x| (x >= low) & (x <= high),
                    |word| inside::<Self>(word, over, under),
                    |words| none_inside::<Self>(words, over, under),
                )
            }

            #[inline(never)]
            fn before_outside(samples: &[Self], low: Self, high: Self) -> usize {
                let of_few = of_few(low, high);
                let (over, under) = of_few
                    .unwrap_or_else(|| (over(high.successor()), under(low.predecessor())));
                before(
                    samples,
                    |x| (x < low) | (x > high),
                    |word| match of_few {
                        Some(_) => outside_of_few::<Self>(word, over, under),
                        None => outside::<Self>(word, over, under),
                    },
                    |words| match of_few {
                        Some(_) => none_outside_of_few::<Self>(words, over, under),
                        None => none_outside::<Self>(words, over, under),
                    },
                )
            }
        }
    )*};
}

by_words!(u8 i8 u16 i16);

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

            #[inline(never)]
            fn before_inside(samples: &[Self], low: Self, high: Self) -> usize {
                let found = samples.iter().position(|&x| x >= low && x <= high);
                found.unwrap_or(samples.len())
            }

            #[inline(never)]
            fn before_outside(samples: &[Self], low: Self, high: Self) -> usize {
                let beyond = |x| (x < low && x >= <$sample>::MIN) || (x > high && x <= <$sample>::MAX);
                samples.iter().position(|&x| beyond(x)).unwrap_or(samples.len())
            }
        }
    )*};
}

one_by_one!(u32 i32 f32);

#[inline]
fn before_beyond<T: Packed>(samples: &[T], slope: Slope, bound: T) -> usize {
    // x <= y just where !x >= !y: what is done for few samples needs no second version.
    let (mirror, mirror_word) = match slope {
        Slope::Rising => (T::ZERO, 0),
        Slope::Falling => (!T::ZERO, !0),
    };
    let mirrored = bound ^ mirror;
    let mirrored_over = over(mirrored);
    before(
        samples,
        |x| x ^ mirror >= mirrored,
        |word| halves::<T>(word ^ mirror_word).wrapping_add(mirrored_over) & T::TOP,
        |words| match slope {
            Slope::Rising => none_over::<T>(words, over(bound)),
            Slope::Falling => none_under::<T>(words, under(bound)),
        },
    )
}

/// How many samples come before the first that `hits`. A word that may hold such a sample is
/// `near`; `quiet` counts the words in the groups before it.
#[inline]
fn before<T: Packed>(
    samples: &[T],
    hits: impl Fn(T) -> bool,
    near: impl Fn(u32) -> u32,
    quiet: impl Fn(&[u32]) -> usize,
) -> usize {
    let lanes = size_of::<u32>() / size_of::<T>();
    let mut from = 0;
    while let Some(rest @ [_, ..]) = samples.get(from..) {
        // A few, and then up to where a word begins.
        let (head, words, _) = bytemuck::pod_align_to(rest.get(FEW..).unwrap_or(&[]));
        let few = rest.get(..FEW + head.len()).unwrap_or(rest);
        if let Some(found) = few.iter().position(|&x| hits(x)) {
            return from + found;
        }
        let quiet = quiet(words);
        let rest = words.get(quiet..).unwrap_or(&[]);
        let quiet = quiet + rest.iter().take_while(|&&word| near(word) == 0).count();
        from += few.len() + quiet * lanes;
    }
    samples.len()
}

/// How many words are in the groups before the first with one that is `near`.
#[inline]
fn quiet_groups(words: &[u32], near: impl Fn(u32) -> u32) -> usize {
    let (groups, _) = words.as_chunks::<GROUP>();
    let mut left = groups.iter();
    match left.find(|group| group.iter().fold(0, |any, &word| any | near(word)) != 0) {
        Some(_) => (groups.len() - left.len() - 1) * GROUP,
        None => groups.len() * GROUP,
    }
}
