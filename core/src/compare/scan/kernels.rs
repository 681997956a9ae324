//! What the wide scan does with a run of samples, made once for each set of vectors a processor
//! may have.

use fearless_simd::{Level, Simd, dispatch};

use super::Bounds;
use super::first::before;
use super::lanes::{Lanes, masks};
use super::offsets::{CAPACITY, Offsets};
use crate::{Slope, ahead};

/// Samples skipped or resolved together.
const CHUNK: usize = 256;

/// How many chunks without a crossing are still resolved after one with: a branch that is taken now
/// and then costs more than a few chunks.
const PATIENCE: u32 = 8;

/// A sample that can be scanned. Its kernels are not generic, so that only this crate compiles
/// them.
pub trait Scannable: Copy + Default {
    #[doc(hidden)]
    fn list(
        level: Level,
        samples: &[Self],
        bounds: Bounds<Self>,
        is_high: &mut bool,
        found: &mut Offsets,
    ) -> usize;

    #[doc(hidden)]
    fn count(level: Level, samples: &[Self], bounds: Bounds<Self>, is_high: &mut bool) -> u64;

    #[doc(hidden)]
    fn first_side(level: Level, samples: &[Self], bounds: Bounds<Self>) -> Option<(usize, bool)>;

    #[doc(hidden)]
    fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize;

    #[doc(hidden)]
    fn before_inside(samples: &[Self], low: Self, high: Self) -> usize;

    #[doc(hidden)]
    fn before_outside(samples: &[Self], low: Self, high: Self) -> usize;
}

macro_rules! scannable {
    ($($sample:ty)*) => {$(
        impl Scannable for $sample {
            fn list(
                level: Level,
                samples: &[Self],
                bounds: Bounds<Self>,
                is_high: &mut bool,
                found: &mut Offsets,
            ) -> usize {
                dispatch!(level, simd => list(simd, samples, bounds, is_high, found))
            }

            fn count(
                level: Level,
                samples: &[Self],
                bounds: Bounds<Self>,
                is_high: &mut bool,
            ) -> u64 {
                dispatch!(level, simd => count(simd, samples, bounds, is_high))
            }

            fn first_side(
                level: Level,
                samples: &[Self],
                bounds: Bounds<Self>,
            ) -> Option<(usize, bool)> {
                dispatch!(level, simd => first_side(simd, samples, bounds))
            }

            fn before_beyond(samples: &[Self], slope: Slope, bound: Self) -> usize {
                let (min, max) = (<$sample>::MIN, <$sample>::MAX);
                match slope {
                    Slope::Rising => before(samples, |x| (x >= bound) & (x <= max)),
                    Slope::Falling => before(samples, |x| (x <= bound) & (x >= min)),
                }
            }

            fn before_inside(samples: &[Self], low: Self, high: Self) -> usize {
                before(samples, |x| (x >= low) & (x <= high))
            }

            fn before_outside(samples: &[Self], low: Self, high: Self) -> usize {
                let (min, max) = (<$sample>::MIN, <$sample>::MAX);
                before(samples, |x| ((x < low) & (x >= min)) | ((x > high) & (x <= max)))
            }
        }
    )*};
}

scannable!(u8 i8 u16 i16 u32 i32 f32);

/// Samples looked at before crossings are given out: within the reach of offsets.
const REACH: usize = 1 << 14;

/// Lists the next crossings, as offsets from the first sample, until the list is full or the reach
/// is at its end. Gives the number of samples looked at.
#[inline(always)]
fn list<S: Simd, T: Lanes>(
    simd: S,
    samples: &[T],
    bounds: Bounds<T>,
    is_high: &mut bool,
    found: &mut Offsets,
) -> usize {
    let (chunks, tail) = samples.as_chunks::<CHUNK>();
    let (mut at, mut patience) = (0, 0_u32);
    for chunk in chunks {
        if at == REACH {
            return at;
        }
        ahead::call(ahead::of(samples, at), CHUNK);
        if patience > 0 || !is_quiet(simd, chunk, bounds, *is_high) {
            let mut bits = [0; CHUNK / 64];
            for (bits, word) in bits.iter_mut().zip(chunk.as_chunks().0) {
                *bits = crossings(simd, word, 64, bounds, is_high);
            }
            patience = patience.saturating_sub(1);
            if bits.iter().fold(0, |any, bits| any | bits) != 0 {
                patience = PATIENCE;
                for (i, bits) in bits.into_iter().enumerate() {
                    found.push_bits(simd, (at + 64 * i) as u16, bits);
                }
                if found.len() > CAPACITY - CHUNK {
                    return at + CHUNK;
                }
            }
        }
        at += CHUNK;
    }
    let (words, rest) = tail.as_chunks();
    for word in words {
        let bits = crossings(simd, word, 64, bounds, is_high);
        found.push_bits(simd, at as u16, bits);
        at += 64;
    }
    if !rest.is_empty() {
        let bits = crossings(simd, &padded(rest), rest.len(), bounds, is_high);
        found.push_bits(simd, at as u16, bits);
    }
    samples.len()
}

/// Counts all crossings.
#[inline(always)]
fn count<S: Simd, T: Lanes>(simd: S, samples: &[T], bounds: Bounds<T>, is_high: &mut bool) -> u64 {
    let (chunks, tail) = samples.as_chunks::<CHUNK>();
    let (mut count, mut patience) = (0, 0_u32);
    for (i, chunk) in chunks.iter().enumerate() {
        ahead::call(ahead::of(samples, i * CHUNK), CHUNK);
        if patience > 0 || !is_quiet(simd, chunk, bounds, *is_high) {
            let before = count;
            for word in chunk.as_chunks().0 {
                let bits = crossings(simd, word, 64, bounds, is_high);
                count += u64::from(bits.count_ones());
            }
            patience = if count == before { patience.saturating_sub(1) } else { PATIENCE };
        }
    }
    let (words, rest) = tail.as_chunks();
    for word in words {
        count += u64::from(crossings(simd, word, 64, bounds, is_high).count_ones());
    }
    if !rest.is_empty() {
        let bits = crossings(simd, &padded(rest), rest.len(), bounds, is_high);
        count += u64::from(bits.count_ones());
    }
    count
}

/// The first sample that is on a side, and whether it is high.
#[inline(always)]
fn first_side<S: Simd, T: Lanes>(
    simd: S,
    samples: &[T],
    bounds: Bounds<T>,
) -> Option<(usize, bool)> {
    let (words, rest) = samples.as_chunks();
    let last = padded(rest);
    let counts = words.iter().map(|_| 64).chain([rest.len()]);
    for ((i, word), count) in words.iter().chain([&last]).enumerate().zip(counts) {
        let masks = masks(simd, word, bounds).first(count);
        if masks.any() {
            let (high, low) = (masks.high.trailing_zeros(), masks.low.trailing_zeros());
            return Some((64 * i + high.min(low) as usize, high < low));
        }
    }
    None
}

/// Whether no sample of a chunk can change the side.
#[inline(always)]
fn is_quiet<S: Simd, T: Lanes>(
    simd: S,
    chunk: &[T; CHUNK],
    bounds: Bounds<T>,
    is_high: bool,
) -> bool {
    if is_high {
        !T::any_under(simd, chunk, bounds.low)
    } else {
        !T::any_over(simd, chunk, bounds.high)
    }
}

/// The wanted crossings among the first `count` of 64 samples: bit i is sample i.
#[inline(always)]
fn crossings<S: Simd, T: Lanes>(
    simd: S,
    samples: &[T; 64],
    count: usize,
    bounds: Bounds<T>,
    is_high: &mut bool,
) -> u64 {
    let flips = masks(simd, samples, bounds).first(count).flips(is_high);
    match bounds.wanted {
        Some(Slope::Rising) => flips.rising,
        Some(Slope::Falling) => flips.falling,
        None => flips.rising | flips.falling,
    }
}

/// Fewer than 64 samples, and anything behind them.
#[inline(always)]
fn padded<T: Lanes>(samples: &[T]) -> [T; 64] {
    let mut all = [T::default(); 64];
    for (to, from) in all.iter_mut().zip(samples) {
        *to = *from;
    }
    all
}
