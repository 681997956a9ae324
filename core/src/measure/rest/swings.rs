//! Counting how often a signal swings from one side to the other.

use super::Steps;
use crate::Sample;

/// Whether the range of the signal differs from one part of the record to another: the smallest of
/// eight (or of four if there are fewer cycles) is under 85 % of the largest, without what noise
/// adds. Each part holds at least one cycle.
#[inline(never)]
pub(super) fn changes<T: Sample>(
    samples: &[T],
    steps: &Steps<T>,
    crossings: u32,
    noise: u32,
) -> bool {
    let parts = if crossings >= 20 { 8 } else { 4 };
    if crossings < 10 {
        return false;
    }
    let (mut least, mut greatest) = (u32::MAX, 0);
    // 8 samples a cycle miss at most 8 % of its range.
    let stride = (samples.len() / 4).checked_div(crossings as usize).unwrap_or(1).max(1);
    for part in samples.chunks_exact((samples.len() / parts).max(1)) {
        let (mut low, mut high) = (u32::MAX, 0);
        for &x in part.iter().step_by(stride) {
            if let Some(key) = steps.binning.key_within(x) {
                (low, high) = (low.min(key), high.max(key));
            }
        }
        let range = steps.parts(high.saturating_sub(low));
        (least, greatest) = (least.min(range), greatest.max(range));
    }
    least.saturating_add(2 * noise) < greatest / 20 * 17
}

/// How often the samples go from at or under one level to at or over another, or back; and the
/// smallest number of samples from one such crossing to the next (all, if there is none). Levels
/// are in parts.
#[inline(never)]
pub(super) fn swings<T: Sample>(
    samples: &[T],
    steps: &Steps<T>,
    below: u32,
    above: u32,
) -> (u32, u32) {
    let (below, above) = (steps.key(below), steps.key(above));
    let (mut crossings, mut shortest) = (0_u32, u32::MAX);
    let (mut side, mut last) = (None, 0_u32);
    for (index, &x) in samples.iter().enumerate() {
        let Some(key) = steps.binning.key_within(x) else { continue };
        let now = if key > above {
            true
        } else if key <= below {
            false
        } else {
            continue;
        };
        if side.replace(now).is_some_and(|before| before != now) {
            let index = index as u32;
            if crossings > 0 {
                shortest = shortest.min(index.wrapping_sub(last));
            }
            crossings = crossings.saturating_add(1);
            last = index;
        }
    }
    (crossings, shortest.min(samples.len() as u32))
}
