//! Two or four samples to a word of 32 bits.
//!
//! Samples below 2^15 leave the top bit of a 16-bit lane free: a subtraction with that bit set in
//! the minuend tells in it which of the two was less, and leaves their difference beside it. Where
//! samples go beyond neither extreme, which two additions show, nothing else is done.

use crate::Sample;
use crate::decimate::Extent;
use crate::vectors::Vectors;

/// The free bits.
const TOP: u32 = 0x8000_8000;
/// One in each lane.
const ONES: u32 = 0x0001_0001;
/// Pairs of words of lanes that are looked at together.
const GROUP: usize = 8;

/// A sample that is read by words.
pub(super) trait Words: Sample {
    /// The extent of some samples.
    fn extent_by_words(samples: &[Self]) -> Extent<Self>;

    /// Their sum, which fits.
    fn sum_by_words(samples: &[Self]) -> Self::Wide;
}

/// The extent of some samples.
#[inline]
#[cfg_attr(vectors, allow(dead_code))]
pub(super) fn extent<T: Words>(_: Vectors, samples: &[T]) -> Extent<T> {
    T::extent_by_words(samples)
}

/// The sum of some samples.
#[inline]
#[cfg_attr(vectors, allow(dead_code))]
pub(super) fn sum<T: Words>(_: Vectors, samples: &[T]) -> T::Wide {
    T::sum_by_words(samples)
}

/// The extremes of each lane: TOP less the largest, and TOP and the least.
#[derive(Clone, Copy, PartialEq)]
struct Lanes {
    over: u32,
    under: u32,
}

impl Lanes {
    const EMPTY: Self = Self { over: TOP, under: u32::MAX };

    /// Whether a lane is beyond an extreme, or is not below 2^15.
    #[inline]
    fn are_left_by(self, pairs: impl Iterator<Item = [u32; 2]>) -> bool {
        // Carries cross lanes only from one that shows itself.
        let (over, under) = (self.over.wrapping_sub(ONES), self.under.wrapping_sub(ONES));
        let beyond = |word: u32| word.wrapping_add(over) | under.wrapping_sub(word);
        pairs.fold(0, |any, [a, b]| any | beyond(a) | beyond(b)) & TOP != 0
    }

    /// Takes lanes below 2^15.
    #[inline]
    fn take(&mut self, [a, b]: [u32; 2]) {
        // The larger ones against the largest, the smaller ones against the least.
        let more = excess((a | TOP).wrapping_sub(b));
        let (high, low) = (b.wrapping_add(more), a.wrapping_sub(more));
        self.over = self.over.wrapping_sub(excess(high.wrapping_add(self.over)));
        self.under = self.under.wrapping_sub(excess(self.under.wrapping_sub(low)));
    }

    /// The least and the largest of both lanes.
    fn extremes(self) -> (u16, u16) {
        let (high, low) = (TOP.wrapping_sub(self.over), self.under.wrapping_sub(TOP));
        let least = (low as u16).min((low >> 16) as u16);
        (least, (high as u16).max((high >> 16) as u16))
    }
}

/// The difference in lanes whose top bit is set, 0 in others.
#[inline]
fn excess(difference: u32) -> u32 {
    let set = difference & TOP;
    difference & set.wrapping_sub(set >> 15)
}

/// Whether a lane is not below 2^15.
#[inline]
fn is_wide(pairs: impl Iterator<Item = [u32; 2]>) -> bool {
    pairs.fold(0, |any, [a, b]| any | a | b) & TOP != 0
}

/// The extremes of whole groups up to the first with a lane of 2^15 or more, of which some may be
/// in them, and how many groups these are. Words are unpacked to two words of lanes.
///
/// A signal that rises or falls has its extremes at both ends of a group: once these have been
/// taken, the rest mostly lies within.
#[inline]
fn extremes<const N: usize>(
    groups: &[[[u32; N]; GROUP]],
    unpack: impl Fn([u32; N]) -> [u32; 2],
) -> (Lanes, usize) {
    let mut lanes = Lanes::EMPTY;
    if let Some([first, ..]) = groups.first() {
        let first = unpack(*first);
        if is_wide([first].into_iter()) {
            return (lanes, 0);
        }
        lanes.take(first);
    }
    let mut rest = groups;
    while let [group, behind @ ..] = rest {
        let [first @ .., last] = group;
        let last = unpack(*last);
        if is_wide([last].into_iter()) {
            break;
        }
        lanes.take(last);
        if lanes.are_left_by(first.iter().map(|&words| unpack(words))) {
            match take_all(lanes, first, &unpack) {
                Some(wider) => lanes = wider,
                None => break,
            }
        }
        rest = behind;
    }
    (lanes, groups.len() - rest.len())
}

/// Lanes with all of `words`; `None` if one is not below 2^15. It is a function of its own, so that
/// the words need not be kept for it.
#[cold]
#[inline(never)]
fn take_all<const N: usize>(
    mut lanes: Lanes,
    words: &[[u32; N]],
    unpack: &impl Fn([u32; N]) -> [u32; 2],
) -> Option<Lanes> {
    let pairs = words.iter().map(|&words| unpack(words));
    if is_wide(pairs.clone()) {
        return None;
    }
    pairs.for_each(|pair| lanes.take(pair));
    Some(lanes)
}

/// One sample after the other.
#[inline]
fn one_by_one<T: Sample + Ord>(samples: &[T]) -> Extent<T> {
    samples.iter().fold(Extent::EMPTY, |extent, &x| Extent {
        minimum: extent.minimum.min(x),
        maximum: extent.maximum.max(x),
    })
}

macro_rules! by_words {
    ($($sample:ty, $words:literal, $unpack:expr, $value:expr, $sum:expr;)*) => {$(
        impl Words for $sample {
            #[inline(never)]
            fn extent_by_words(samples: &[Self]) -> Extent<Self> {
                let (head, words, _) = bytemuck::pod_align_to::<Self, u32>(samples);
                let (groups, _) = words.as_chunks::<$words>().0.as_chunks();
                let (lanes, taken) = extremes(groups, $unpack);
                let rest = head.len() + taken * (size_of_val(&[[0_u32; $words]; GROUP]) / size_of::<Self>());
                let mut extent = one_by_one(head).and(one_by_one(samples.get(rest..).unwrap_or(&[])));
                if taken > 0 {
                    let value = $value;
                    let (least, largest) = lanes.extremes();
                    extent = extent.and(Extent { minimum: value(least), maximum: value(largest) });
                }
                extent
            }

            #[inline(never)]
            fn sum_by_words(samples: &[Self]) -> i32 {
                let (head, words, tail) = bytemuck::pod_align_to::<Self, u32>(samples);
                let ends: i32 = head.iter().chain(tail).map(|&x| i32::from(x)).sum();
                let sum: fn(&[u32]) -> i32 = $sum;
                ends.wrapping_add(sum(words))
            }
        }
    )*};
}

by_words! {
    u16, 2, |words| words, |x| x, |words| {
        let (low, high) = words.iter().fold((0_u32, 0_u32), |(low, high), word| {
            (low.wrapping_add(word & 0xffff), high.wrapping_add(word >> 16))
        });
        low.wrapping_add(high) as i32
    };
    // From -2^14 on, which becomes 0.
    i16, 2, |words: [u32; 2]| words.map(|word| (word ^ TOP).wrapping_sub(TOP >> 1)),
    |x: u16| (x.wrapping_add(0x4000) ^ 0x8000) as i16, |words| {
        let (low, high) = words.iter().fold((0_i32, 0_i32), |(low, high), &word| {
            (low.wrapping_add(i32::from(word as i16)), high.wrapping_add(word as i32 >> 16))
        });
        low.wrapping_add(high)
    };
    u8, 1, |[word]| bytes(word), |x| x as u8, |words| sum_of_bytes(words, 0) as i32;
    i8, 1, |[word]: [u32; 1]| bytes(word ^ 0x8080_8080),
    |x| (x as u8 ^ 0x80) as i8, |words| {
        let bias = words.len().wrapping_mul(4 * 128) as u32;
        sum_of_bytes(words, 0x8080_8080).wrapping_sub(bias) as i32
    };
}

/// Each byte in a lane of its own.
#[inline]
fn bytes(word: u32) -> [u32; 2] {
    const EVEN: u32 = 0x00ff_00ff;
    [word & EVEN, (word >> 8) & EVEN]
}

/// The sum of all bytes.
#[inline]
fn sum_of_bytes(words: &[u32], flip: u32) -> u32 {
    const EVEN: u32 = 0x00ff_00ff;
    let mut sum = 0_u32;
    // No more than a lane of 16 bits counts.
    for some in words.chunks(128) {
        let lanes = some
            .iter()
            .map(|word| word ^ flip)
            .fold(0_u32, |lanes, word| lanes.wrapping_add((word & EVEN) + ((word >> 8) & EVEN)));
        sum = sum.wrapping_add((lanes & 0xffff) + (lanes >> 16));
    }
    sum
}

macro_rules! one_a_word {
    ($($sample:ty)*) => {$(
        impl Words for $sample {
            #[inline]
            fn extent_by_words(samples: &[Self]) -> Extent<Self> {
                one_by_one(samples)
            }

            #[inline]
            fn sum_by_words(samples: &[Self]) -> i64 {
                samples.iter().fold(0, |sum, &x| sum.wrapping_add(i64::from(x)))
            }
        }
    )*};
}

one_a_word!(u32 i32);

#[cfg(test)]
mod tests {
    use super::{Words, one_by_one};
    use proptest::prelude::*;

    /// Steps of all sizes, from anywhere, so that runs are calm, or busy, or cross 2^15.
    fn walk() -> impl Strategy<Value = std::vec::Vec<i32>> {
        let leg = (any::<i16>(), 1..80_usize, 0..14_u32);
        (any::<i16>(), prop::collection::vec(leg, 0..12)).prop_map(|(start, legs)| {
            let mut x = i32::from(start);
            let mut walk = std::vec![];
            for (step, len, shift) in legs {
                for i in 0..len as i32 {
                    x = x.wrapping_add(i32::from(step) >> shift);
                    walk.push(x + i % 3);
                }
            }
            walk
        })
    }

    macro_rules! agrees {
        ($($name:ident $sample:ty),*) => {proptest! {$(
            #[test]
            fn $name(walk in walk(), from in 0..5_usize) {
                let samples: std::vec::Vec<$sample> = walk.iter().map(|&x| x as $sample).collect();
                let samples = samples.get(from..).unwrap_or(&[]);
                prop_assert_eq!(<$sample>::extent_by_words(samples), one_by_one(samples));
                let sum: i64 = samples.iter().map(|&x| i64::from(x)).sum();
                prop_assert_eq!(i64::from(<$sample>::sum_by_words(samples)), sum);
            }
        )*}};
    }

    agrees!(u8_samples u8, i8_samples i8, u16_samples u16, i16_samples i16, u32_samples u32);

    #[test]
    fn twelve_bits_with_spikes() {
        for at in 0..64 {
            for spike in [0_u16, 4095, 32767, 32768, 65535] {
                let mut samples = [2000_u16; 64];
                samples[at] = spike;
                assert_eq!(u16::extent_by_words(&samples), one_by_one(&samples));
            }
        }
    }
}
