//! The noise of a record, from one sample to the next.
//!
//! In white noise of deviation σ, differences of neighbours of the first, second and sixth order
//! have the deviations √2 σ, √6 σ and √924 σ (sums of squared binomials, textbook). Each gives an
//! estimate from the magnitude that a third of them lies below, 0.4307 of the deviation for normal
//! noise, which rare edges do not move. Whatever is not noise only adds, so the least of the three
//! is taken.

use super::{PARTS, Steps};
use crate::Sample;
use crate::measure::number::quotient;

/// The number of bins: magnitudes below 4 have one each, then four an octave, up to 2^27.
const BINS: usize = 104;

/// The number of positions used: at least this many if there are as many, and fewer than twice;
/// more if there is much noise, whose size is then known better.
const POSITIONS: usize = 64;
const MORE_POSITIONS: usize = 2048;

/// 1 / (0.4307 · √2), √6 and √924, in 1/65536.
const GAINS: [u32; 3] = [107_597, 62_120, 5006];

/// The standard deviation of the noise, in parts of a step; 0 if it is no more than rounding makes.
pub(super) fn noise<T: Sample>(samples: &[T], steps: &Steps<T>) -> u32 {
    let noise = estimate(samples, steps, POSITIONS);
    if noise < steps.range() / 128 { noise } else { estimate(samples, steps, MORE_POSITIONS) }
}

#[allow(clippy::many_single_char_names)] // neighbours, in order
#[inline(never)]
fn estimate<T: Sample>(samples: &[T], steps: &Steps<T>, positions: usize) -> u32 {
    let mut counts = [[0_u16; BINS]; 3];
    // An odd stride meets every phase of a signal locked to an even number of samples.
    let stride = samples.len().checked_div(positions).unwrap_or(0) | 1;
    let mut total = 0_u32;
    for seven in samples.windows(7).step_by(stride) {
        let Some(&seven) = seven.first_chunk::<7>() else { continue };
        let [a, b, c, d, e, f, g] = seven.map(|x| steps.of(x));
        let first = d - c;
        let second = first - (c - b);
        let sixth = a + g - 6 * (b + f) + 15 * (c + e) - 20 * d;
        for (counts, difference) in counts.iter_mut().zip([first, second, sixth]) {
            if let Some(count) = counts.get_mut(bin(difference.unsigned_abs())) {
                *count += 1;
            }
        }
        total += 1;
    }
    let estimates = counts
        .iter()
        .zip(GAINS)
        .map(|(counts, gain)| ((u64::from(third(counts, total)) * u64::from(gain)) >> 16) as u32);
    // The least of three is 5 % low.
    let least = estimates.min().unwrap_or(0);
    let noise = least + least / 20;
    // Rounding alone, of 0.29 steps, is no noise.
    if noise > PARTS * 3 / 8 { noise } else { 0 }
}

/// The magnitude, in parts, below which a third of all lies. It is interpolated within its bin,
/// where a whole number stands for what is rounded to it.
fn third(counts: &[u16; BINS], total: u32) -> u32 {
    let mut wanted = total.div_ceil(3);
    for (bin, &count) in counts.iter().enumerate() {
        let count = u32::from(count);
        if wanted <= count {
            let (start, end) = (edge(bin), edge(bin + 1));
            // Bins are below 2^26 parts wide and counts below 2^9.
            return start
                + quotient(u64::from(end - start) * u64::from(wanted), count.into()) as u32;
        }
        wanted -= count;
    }
    0
}

#[inline]
fn bin(magnitude: u32) -> usize {
    if magnitude < 4 {
        return magnitude as usize;
    }
    let octave = magnitude.ilog2();
    ((octave << 2) + ((magnitude >> (octave - 2)) & 3)) as usize - 4
}

/// Where a bin begins: half below its first whole number, in parts.
fn edge(bin: usize) -> u32 {
    let whole = if bin < 4 { bin as u32 } else { (4 + (bin as u32 & 3)) << (bin / 4 - 1) };
    (whole * PARTS).saturating_sub(PARTS / 2)
}

#[cfg(test)]
mod tests {
    use super::{BINS, bin, edge};
    use crate::measure::rest::PARTS;

    #[test]
    fn bins_follow_each_other() {
        for magnitude in (0..5000).chain([1 << 20, (1 << 26) + 12345]) {
            let bin = bin(magnitude);
            assert!(edge(bin) <= magnitude * PARTS && magnitude * PARTS < edge(bin + 1));
        }
        assert!(bin(64 << 20) < BINS);
    }
}
