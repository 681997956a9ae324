//! The analysis of a record's histogram.

use super::half::{self, End, Search};
use super::{PARTS, Sides, Steps, Stretch};
use crate::Sample;
use crate::measure::Reason;
use crate::measure::histogram::BINS;

/// What a histogram shows.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub(super) low: Side,
    pub(super) high: Side,
    /// The number of samples in all, and in the middle half of the range.
    pub(super) total: u32,
    pub(super) middle: u32,
    /// Outliers at the bottom and at the top: how many, and the first bin inwards of them, counted
    /// from that end.
    apart: [Option<(u32, usize)>; 2],
    /// The bin of a third level.
    pub(super) third: Option<usize>,
}

/// One side of the range.
#[derive(Clone, Copy)]
pub(super) struct Side {
    /// Whether the signal rests there, and the bins whose samples' mean is the level.
    pub(super) rests: bool,
    pub(super) stretch: Option<Stretch>,
    /// The level, in parts above the smallest sample: the middle of those bins, or the peak.
    pub(super) at: u32,
    /// The peak, whether it rests or not; and the outermost sample.
    pub(super) peak: u32,
    pub(super) outermost: u32,
}

/// Outliers, and the bins that the other samples are in.
#[derive(Clone, Copy)]
pub(super) struct Spikes {
    pub(super) count: u32,
    pub(super) first: usize,
    pub(super) last: usize,
}

impl Look {
    /// Analyses the samples within `steps`, with `noise` in parts. It has its own stack frame, so
    /// that the counts leave the stack.
    #[inline(never)]
    pub(super) fn at<T: Sample>(samples: &[T], steps: &Steps<T>, noise: u32) -> Self {
        // Short counts for short records: half the stack.
        if u16::try_from(samples.len()).is_ok() {
            let mut counts = [0_u16; BINS];
            steps.binning.count_within(samples, &mut counts);
            Self::of(&mut counts, steps.shape(), noise)
        } else {
            Self::at_many(samples, steps, noise)
        }
    }

    /// Does the same for more samples than short counts have room for: the counts are halved as
    /// often as needed, rounded up.
    #[inline(never)]
    fn at_many<T: Sample>(samples: &[T], steps: &Steps<T>, noise: u32) -> Self {
        let mut many = [0_u32; BINS];
        steps.binning.count_within(samples, &mut many);
        let shift = (samples.len() >> 15).checked_ilog2().map_or(0, |order| order + 1);
        let halved = many.map(|count| (u64::from(count) + (1 << shift) - 1) >> shift);
        let mut counts = halved.map(|count| u16::try_from(count).unwrap_or(u16::MAX));
        Self::of(&mut counts, steps.shape(), noise)
    }

    /// Analyses the means of 2^`order` samples each, which have less noise.
    #[inline(never)]
    pub(super) fn at_means<T: Sample>(
        samples: &[T],
        steps: &Steps<T>,
        noise: u32,
        order: u32,
    ) -> Self {
        let mut counts = [0_u16; BINS];
        let binning = &steps.binning;
        let window = 1_usize << order;
        // Of many samples not all, so that short counts have room.
        let stride = ((samples.len() as u64) >> 16) as usize + 1;
        let (mut sum, mut last, mut left, mut next) = (0_u64, 0, 0, window - 1);
        for (index, &x) in samples.iter().enumerate() {
            last = binning.key_within(x).unwrap_or(last);
            sum += u64::from(last);
            if let Some(&x) = index.checked_sub(window).and_then(|oldest| samples.get(oldest)) {
                left = binning.key_within(x).unwrap_or(left);
                sum -= u64::from(left);
            }
            if index < next {
                continue;
            }
            next += stride;
            if let Some(count) = counts.get_mut(((sum >> order) >> binning.shift()) as usize) {
                *count += 1;
            }
        }
        // 2^(order / 2), the half power as 181/256.
        let root = if order & 1 == 1 { noise * 181 / 256 } else { noise };
        Self::of(&mut counts, steps.shape(), root >> (order / 2))
    }

    #[inline(never)]
    fn of(counts: &mut [u16; BINS], (range, bin, bins): (u32, u32, usize), noise: u32) -> Self {
        let counts = counts.get_mut(..bins).unwrap_or(&mut []);
        // An odd number of bins leaves the middle one to neither half.
        let size = bins / 2;
        let total = half::total(counts);
        let quarter = bins / 4;
        let middle = half::total(counts.get(quarter..bins - quarter).unwrap_or(&[]));
        let search = search(range, bin, noise, total);
        let in_bins = noise * 16 / bin.max(1);
        let low = half::end(counts, size, &search, in_bins);
        counts.reverse();
        let high = half::end(counts, size, &search, in_bins);
        counts.reverse();
        // From the outside, in parts. Places are beside whole steps by half a step.
        let inwards = |end: &End| {
            let peak = end.peak.map_or(0, |place| (place * (bin / 16)).saturating_sub(PARTS / 2));
            let level = end.rest.map_or(peak, |Stretch { first, last }| {
                ((first + last + 1) as u32 * (bin / 2)).saturating_sub(PARTS / 2)
            });
            (level, peak, end.outermost * bin)
        };
        // The outside of the last bin is beyond the largest sample.
        let (top, beyond) = (range, (bins as u32 * bin).saturating_sub(range + PARTS));
        let (at, peak, outermost) = inwards(&low);
        let low_side = Side { rests: low.rest.is_some(), stretch: low.rest, at, peak, outermost };
        let (at, peak, outermost) = inwards(&high);
        let down = |inwards: u32| top.saturating_sub(inwards.saturating_sub(beyond));
        let high_side = Side {
            rests: high.rest.is_some(),
            stretch: high.rest.map(|Stretch { first, last }| Stretch {
                first: bins.saturating_sub(last + 1),
                last: bins.saturating_sub(first + 1),
            }),
            at: down(at),
            peak: down(peak),
            outermost: down(outermost),
        };
        let between = (high_side.at.saturating_sub(low_side.at)) / 5;
        let from = (low_side.at + between).checked_div(bin).unwrap_or(0) as usize;
        let to = high_side.at.saturating_sub(between).checked_div(bin).unwrap_or(0) as usize;
        let between = counts.get(from..to).unwrap_or(&[]);
        Self {
            low: low_side,
            high: high_side,
            total,
            middle,
            apart: [low.apart, high.apart],
            third: third(between, search.window, total).map(|bin| from + bin),
        }
    }

    /// Whether the signal rests in both halves.
    pub(super) fn rests(&self) -> bool {
        self.low.stretch.is_some() && self.high.stretch.is_some()
    }

    /// Outliers far enough from the others to matter: at both ends, at the bottom, at the top.
    pub(super) fn spikes<T: Sample>(&self, steps: &Steps<T>, noise: u32) -> [Option<Spikes>; 3] {
        let last = steps.binning.last();
        let [low, high] = self.apart;
        let low = low.map(|(count, first)| Spikes { count, first, last });
        let high =
            high.map(|(count, bin)| Spikes { count, first: 0, last: last.saturating_sub(bin) });
        let both = low.zip(high).map(|(low, high)| Spikes {
            count: low.count + high.count,
            first: low.first,
            last: high.last,
        });
        [both, low, high].map(|spikes| {
            spikes.filter(|spikes| {
                let span = (spikes.last + 1).saturating_sub(spikes.first) as u32 * steps.bin();
                span >= steps.range() / 8 && span > noise.saturating_mul(12)
            })
        })
    }

    /// The levels, if there are two.
    pub(super) fn levels(&self, range: u32, noise: u32) -> Result<Sides, Reason> {
        let mut sides = Sides { low: self.low, high: self.high };
        let apart = 4 * noise;
        if sides.amplitude() > apart {
            // A level so near the middle is no state.
            let (middle, near) = (range / 2, range / 8);
            if sides.low.at + near > middle {
                sides.low = sides.low.not_resting();
            }
            if sides.high.at < middle + near {
                sides.high = sides.high.not_resting();
            }
        }
        let amplitude = sides.amplitude();
        if amplitude <= apart || amplitude < range / 4 {
            return Err(Reason::OneLevel);
        }
        Ok(sides)
    }
}

impl Side {
    fn not_resting(self) -> Self {
        Self { rests: false, stretch: None, at: self.peak, ..self }
    }
}

/// The bin of a level between the others. Its window holds at least 4 % of all samples, and 3 times
/// what it would hold if the samples between the levels were spread evenly.
fn third(between: &[u16], window: usize, total: u32) -> Option<usize> {
    let bins = between.len();
    if bins < 4 * window {
        return None;
    }
    let (first, held) = half::fullest(between, window);
    let even = u64::from(half::total(between)) * 3 * window as u64;
    let is_full = u64::from(held) * bins as u64 >= even && held >= 8 && held >= total / 25;
    let window = between.get(first..first + window).unwrap_or(&[]);
    is_full.then(|| first + half::fullest(window, 1).0)
}

fn search(range: u32, bin: u32, noise: u32, total: u32) -> Search {
    let least = range * 3 / 100;
    let by_noise = noise > least;
    let wide = least.max(noise);
    let bins = |parts: u32| ((parts + bin / 2).checked_div(bin).unwrap_or(1).max(1)) as usize;
    let share = if by_noise { 26 } else { 30 };
    Search {
        window: bins(wide),
        reach: if by_noise { bins(wide * 5 / 2) } else { bins(wide) },
        share,
        share_at_edge: if noise < range / 512 { 40 } else { share },
        inner: if noise * 16 < bin { 1 } else { 1 + (2 * noise).div_ceil(bin.max(1)) as usize },
        // To two deviations.
        more: noise.checked_div(bin).unwrap_or(0) as usize,
        most_apart: (total / 64).clamp(1, 3),
    }
}
