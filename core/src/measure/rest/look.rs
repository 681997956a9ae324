//! One look at a record's histogram.

use core::ops::AddAssign;

use super::half::{Half, Search};
use super::{PARTS, Sides, Steps, Stretch};
use crate::Sample;
use crate::measure::Reason;
use crate::measure::histogram::BINS;

/// What a histogram shows.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub(super) low: Side,
    pub(super) high: Side,
    /// Samples in all, and in the middle half of the range.
    pub(super) total: u32,
    pub(super) middle: u32,
    /// Samples that stand apart at the bottom and at the top: how many, and the first bin inwards
    /// of them, counted from that end.
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

/// Samples that stand apart from the others, which are in these bins.
#[derive(Clone, Copy)]
pub(super) struct Spikes {
    pub(super) count: u32,
    pub(super) first: usize,
    pub(super) last: usize,
}

impl Look {
    /// At the samples within `steps`, in a noise of so many parts.
    pub(super) fn at<T: Sample>(samples: &[T], steps: &Steps<T>, noise: u32) -> Self {
        // Short counts for short records: half the stack.
        if u16::try_from(samples.len()).is_ok() {
            Self::counted::<u16, T>(samples, steps, noise)
        } else {
            Self::counted::<u32, T>(samples, steps, noise)
        }
    }

    /// At the means of 2^`order` samples each, which have less noise.
    #[inline(never)]
    pub(super) fn at_means<T: Sample>(
        samples: &[T],
        steps: &Steps<T>,
        noise: u32,
        order: u32,
    ) -> Self {
        let mut counts = [0_u32; BINS];
        let binning = &steps.binning;
        let window = 1_usize << order;
        let (mut sum, mut last) = (0_u64, 0);
        let mut leaving = samples.iter();
        let mut left = 0;
        for (index, &x) in samples.iter().enumerate() {
            last = binning.key_within(x).unwrap_or(last);
            sum += u64::from(last);
            if index >= window
                && let Some(&x) = leaving.next()
            {
                left = binning.key_within(x).unwrap_or(left);
                sum -= u64::from(left);
            }
            let bin = (sum >> order) >> binning.shift();
            if index + 1 >= window
                && let Some(count) = counts.get_mut(bin as usize)
            {
                *count += 1;
            }
        }
        let counts = counts.get(..=binning.last()).unwrap_or(&[]);
        // 2^(order / 2), the half power as 181/256.
        let root = if order & 1 == 1 { noise * 181 / 256 } else { noise };
        Self::of(counts, steps.range(), steps.bin(), root >> (order / 2))
    }

    /// In a frame of its own, so that the counts leave the stack.
    #[inline(never)]
    fn counted<C, T: Sample>(samples: &[T], steps: &Steps<T>, noise: u32) -> Self
    where
        C: Copy + From<u8> + AddAssign + Into<u32>,
    {
        let mut counts = [C::from(0); BINS];
        steps.binning.count_within(samples, &mut counts);
        let (last, bin) = (steps.binning.last(), steps.bin());
        Self::of(counts.get(..=last).unwrap_or(&[]), steps.range(), bin, noise)
    }

    #[inline(never)]
    fn of<C: Copy + Into<u32>>(counts: &[C], range: u32, bin: u32, noise: u32) -> Self {
        let search = search(range, bin, noise);
        let bins = counts.len();
        // An odd number of bins leaves the middle one to neither half.
        let size = bins / 2;
        let (low, high) =
            (counts.get(..size).unwrap_or(&[]), counts.get(bins - size..).unwrap_or(&[]));
        let (low, high) = (Half::new(low, false), Half::new(high, true));
        let end = range + PARTS;
        // In finer noise than this, the outermost sample is the peak.
        let fine = noise * 2 <= bin;
        let inward = |half: Half<'_, C>| half.peak(noise * 16 / bin.max(1)) * (bin / 16);
        let middle = |stretch: Stretch| {
            ((stretch.first + stretch.last + 1) as u32 * (bin / 2)).saturating_sub(PARTS / 2)
        };
        let low_peak = if fine { 0 } else { inward(low).saturating_sub(PARTS / 2) };
        let high_peak =
            if fine { range } else { (bins as u32 * bin).saturating_sub(inward(high) + PARTS / 2) };
        let low_stretch = low.rest(search);
        let high_stretch = high.rest(search).map(|Stretch { first, last }| Stretch {
            first: first + bins - size,
            last: last + bins - size,
        });
        let all = Half::new(counts, false);
        let total = all.total();
        let (low_half, high_half) = (low, high);
        let low = Side {
            rests: low_stretch.is_some(),
            stretch: low_stretch,
            at: low_stretch.map_or(low_peak, middle),
            peak: low_peak,
            outermost: low_half.outermost() * bin,
        };
        let high = Side {
            rests: high_stretch.is_some(),
            stretch: high_stretch,
            at: high_stretch.map_or(high_peak, |s| middle(s).min(end)),
            peak: high_peak,
            outermost: (range + PARTS).saturating_sub(high_half.outermost() * bin),
        };
        let inside = (high.at.saturating_sub(low.at)) / 5;
        let from = (low.at + inside).checked_div(bin).unwrap_or(0) as usize;
        let to = (high.at.saturating_sub(inside)).checked_div(bin).unwrap_or(0) as usize;
        let third = third(all, counts.get(from..to).unwrap_or(&[]), from, search.window, total);
        let most = (total / 64).clamp(1, 3);
        let empty = (bins * 3 / 25).max(1);
        let quarter = bins / 4;
        let middle_half = counts.get(quarter..bins - quarter).unwrap_or(&[]);
        Self {
            low,
            high,
            total,
            middle: middle_half.iter().map(|&count| count.into()).sum(),
            apart: [all.apart(most, empty), Half::new(counts, true).apart(most, empty)],
            third,
        }
    }

    /// It rests in both halves.
    pub(super) fn rests(&self) -> bool {
        self.low.stretch.is_some() && self.high.stretch.is_some()
    }

    /// Samples that stand apart from others that are worth it: those at both ends, at the bottom, at
    /// the top.
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

    /// The levels, where there are two.
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

/// The bin of a level between the others: where a window holds 4 % of all samples, and 3 times what
/// it would hold of those between the levels if they were spread evenly.
fn third<C: Copy + Into<u32>>(
    all: Half<'_, C>,
    between: &[C],
    from: usize,
    window: usize,
    total: u32,
) -> Option<usize> {
    let bins = between.len();
    if bins < 4 * window {
        return None;
    }
    let (first, held) = all.fullest(from, from + bins - window + 1, window);
    let inner = u64::from(Half::new(between, false).total());
    let even = inner * 3 * window as u64;
    let is_full = u64::from(held) * bins as u64 >= even && held >= 8 && held >= total / 25;
    is_full.then(|| all.fullest(first, first + window, 1).0)
}

fn search(range: u32, bin: u32, noise: u32) -> Search {
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
    }
}
