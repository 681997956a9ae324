//! The levels where a signal rests, or its peaks if it does not rest.
//!
//! ```text
//! spikes        ╷                      apart from the rest by empty bins: left out
//!               │
//! high ─ ─ ╭────┴──╮ ─ ─ ─ ╭───        the fullest stretch near the outside holds a good part of
//!          │       │       │           the half's samples: the signal rests there
//! middle ─ ┼ ─ ─ ─ ┼ ─ ─ ─ ┼ ─ ─
//! low ─────╯       ╰──╲╱╲╱─╯           no stretch does: the level is the peak, without noise
//! ```
//!
//! The constants were chosen on the tuning cases of the signal family of `tests/src/family/`, and
//! are judged on other cases (`tests/tests/measure_family.rs`). All arithmetic is in whole numbers:
//! in steps, at most 2^20 from the smallest to the largest sample, and in 1/16 of a step, called
//! parts.

mod half;
mod look;
mod noise;
mod steps;
mod swings;

use super::extremes::Extremes;
use super::histogram::{Binning, Stretch};
use super::number::real;
use super::{Doubts, Reason, References, StateLevels, Timing};
use crate::Sample;
use look::{Look, Side};
use steps::Steps;

/// The number of parts in a step.
const PARTS: u32 = 16;

/// The largest number of samples used, from the first one on.
const MOST_SAMPLES: usize = if usize::BITS > 28 { 1 << 28 } else { usize::MAX };

/// The largest number of outliers: three at either end.
const MOST_APART: u32 = 6;

/// For peaks, a mean covers at most one in this many of the samples from one crossing to the next.
const SHORT: u32 = 16;

/// The levels of a record, and what is known of its noise.
#[derive(Clone, Copy, Debug)]
#[allow(clippy::struct_excessive_bools)] // each on its own
pub(super) struct Rest<T> {
    pub(super) levels: StateLevels,
    /// Whether the signal rests at this level.
    pub(super) low_rests: bool,
    pub(super) high_rests: bool,
    /// The number of outliers.
    pub(super) left_out: u32,
    /// A third level at which the signal rests.
    pub(super) third: Option<f64>,
    /// Whether the noise could not be separated from the signal.
    pub(super) too_few: bool,
    /// Whether the amplitude changes through the record.
    pub(super) changes: bool,
    /// The deviation of the noise, in counts.
    pub(super) noise: f64,
    /// The same in parts.
    noise_in_parts: u32,
    /// The same in 1/1024 of the amplitude.
    pub(super) noise_part: u32,
    /// The number of samples that times are smoothed over; 1 for none.
    pub(super) smoothing: u32,
    /// The samples that are not left out.
    pub(super) within: Binning<T>,
}

impl<T: Sample> Rest<T> {
    /// Finds the levels of a record whose extremes are known and differ.
    ///
    /// # Errors
    /// [`Reason::OneLevel`].
    #[inline(never)]
    pub(super) fn of(samples: &[T], extremes: &Extremes<T>) -> Result<Self, Reason> {
        // So far, counts have room for all sums; more samples would hardly say more.
        let mut extremes = *extremes;
        let mut looked_at = samples;
        if let Some(first) = samples.get(..MOST_SAMPLES)
            && let Some((&x, rest)) = first.split_first()
        {
            looked_at = first;
            extremes = Extremes::of_one(x);
            for &x in rest {
                extremes.add(x);
            }
        }
        let samples = looked_at;
        if extremes.minimum >= extremes.maximum {
            return Err(Reason::OneLevel);
        }
        let mut steps = Steps::new(Binning::fine(extremes.minimum, extremes.maximum));
        // In steps of the whole record; those of a part are finer for floating-point samples.
        let mut noise = noise::noise(samples, &steps);
        let mut look = Look::at(samples, &steps, noise);
        let mut left_out = 0;
        for spikes in look.spikes(&steps, noise).into_iter().flatten() {
            let Some(rest) = steps.without(samples, spikes) else { continue };
            let in_rest = rest.noise_of(noise, &steps);
            let (below, above) = (rest.part_of_range(35), rest.part_of_range(65));
            let (crossings, _) = swings::swings(samples, &rest, below, above);
            let next = Look::at(samples, &rest, in_rest);
            // The histogram of a long record counts by twos, fours and so on.
            let outside = rest.outside(samples);
            let is_cut = outside <= MOST_APART
                && (crossings >= 6 * outside
                    || (crossings >= 1 && next.rests())
                    || (crossings >= 2 && rest.stands_alone(samples)));
            if is_cut {
                left_out = outside;
                (steps, noise, look) = (rest, in_rest, next);
                break;
            }
        }
        let range = steps.range();
        if noise > range * 3 / 25 {
            if u64::from(look.middle) * 100 > u64::from(look.total) * 65 {
                return Err(Reason::OneLevel);
            }
            noise = 0;
            look = Look::at(samples, &steps, noise);
        }
        let mut levels = look.levels(range, noise)?;
        let (below, above) = levels.inner(30);
        let (mut smoothing, mut too_few, mut changes) = (1, false, false);
        let amplitude = levels.amplitude();
        if noise * 250 > amplitude {
            let (crossings, shortest) = swings::swings(samples, &steps, below, above);
            let count = (samples.len() as u64).saturating_sub(left_out.into());
            let few = count * 10 < u64::from(crossings) * 32;
            if few {
                too_few = true;
                noise = 0;
                look = Look::at(samples, &steps, noise);
                levels = look.levels(range, noise)?;
            } else {
                let ratio = (noise * 100).checked_div(amplitude).unwrap_or(0);
                let mut of_means = noise;
                if ratio > 0 {
                    smoothing = (shortest / 6).min(ratio * ratio).clamp(1, 64);
                    // 1.25 % of the amplitude is little enough for levels.
                    let order =
                        (shortest / SHORT).min(ratio * ratio * 16 / 25).clamp(1, 32).ilog2();
                    if order > 0 {
                        let means = Look::at_means(samples, &steps, noise, order);
                        of_means >>= order / 2;
                        // A triangle's peak loses m/4 of its step from sample to sample, a sine's
                        // hardly any: half of it is added.
                        let lost = (amplitude << order).checked_div(8 * shortest).unwrap_or(0);
                        if let Ok(sides) = means.levels(range, of_means) {
                            levels = sides.smoothed(lost, range);
                        }
                    }
                }
                changes = !levels.low.rests
                    && !levels.high.rests
                    && swings::changes(samples, &steps, crossings, noise);
                if changes {
                    levels.take_outermost(of_means * 3 / 2);
                }
            }
        }
        let amplitude = levels.amplitude();
        let noise_part = (noise * 256).checked_div(amplitude / 4).unwrap_or(0);
        Ok(Self {
            levels: steps.levels(samples, &levels),
            low_rests: levels.low.rests,
            high_rests: levels.high.rests,
            left_out,
            third: look.third.map(|bin| steps.binning.centre(bin)),
            too_few,
            changes,
            noise: steps.counts(noise),
            noise_in_parts: noise,
            noise_part,
            smoothing,
            within: steps.binning,
        })
    }
}

impl<T: Sample> Rest<T> {
    /// The standard deviation of the noise of a record, in counts.
    pub(super) fn noise_of(samples: &[T], extremes: &Extremes<T>) -> f64 {
        if extremes.minimum >= extremes.maximum {
            return 0.0;
        }
        let steps = Steps::new(Binning::fine(extremes.minimum, extremes.maximum));
        steps.counts(noise::noise(samples, &steps))
    }

    /// The doubts that follow from the levels alone.
    pub(super) fn doubts(&self) -> Doubts {
        Doubts {
            low_does_not_rest: !self.low_rests,
            high_does_not_rest: !self.high_rests,
            left_out: self.left_out,
            third_level: self.third,
            amplitude_changes: self.changes,
            too_few_samples: self.too_few,
            ..Doubts::default()
        }
    }

    /// The standard deviation of the periods over their mean, from its square, if it is larger than
    /// noise and sampling explain: over 1 %, and three times what is expected.
    #[inline(never)]
    pub(super) fn period_varies(&self, variance: Option<f64>, timing: &Timing) -> Option<f64> {
        // 1 %
        let variance = variance.filter(|&variance| variance > 1e-4)?;
        let period = timing.period.ok()?;
        // An edge that jumps is known to a sample: 0.41 is the deviation of two of them. Noise moves
        // a passage by its size over the slope.
        let rise = timing.rise_time.or(timing.fall_time).unwrap_or(1.0);
        let by_noise = f64::from(self.noise_part) * (1.8 / 1024.0) * rise;
        let least = 0.01 * period + 3.0 * by_noise.max(0.41);
        (variance * period * period > least * least).then(|| libm::sqrt(variance))
    }

    /// Whether the amplitude changes in a signal that does not rest.
    pub(super) fn changes_over(&self, samples: &[T], cycles: u64) -> bool {
        let crossings = u32::try_from(cycles.saturating_mul(2)).unwrap_or(u32::MAX);
        let steps = Steps::new(self.within);
        !self.low_rests
            && !self.high_rests
            && swings::changes(samples, &steps, crossings, self.noise_in_parts)
    }

    /// The smallest and the largest sample that is not left out.
    pub(super) fn extremes(&self) -> (f64, f64) {
        let bottom = real(self.within.minimum());
        (bottom, bottom + f64::from(self.within.top()) / self.within.keys_a_unit())
    }

    /// Whether the signal rests so near its middle that times are taken to either side of the
    /// middle instead.
    pub(super) fn rests_between(&self) -> bool {
        let Some(third) = self.third else { return false };
        let StateLevels { low, high } = self.levels;
        let (middle, near) = (f64::midpoint(low, high), 0.06 * (high - low));
        libm::fabs(third - middle) < near
    }

    /// Whether the signal is so noisy that one passage of a level does not say when it was passed.
    pub(super) fn is_noisy(&self) -> bool {
        self.noise_part > 5
    }

    /// Whether times are taken from something other than the single samples.
    pub(super) fn is_smoothed(&self) -> bool {
        self.smoothing > 1 || self.left_out > 0
    }

    /// The hysteresis of transitions, as a fraction of the amplitude: the configured one, or what
    /// the noise needs, but less than the way to the references.
    pub(super) fn hysteresis(&self, least: f64, references: References) -> f64 {
        if self.noise_part == 0 && self.third.is_none() {
            return least;
        }
        let mut needed = f64::from(self.noise_part) * (2.5 / 1024.0);
        if self.smoothing > 1 {
            needed /= libm::sqrt(f64::from(self.smoothing));
        }
        if self.rests_between() {
            needed = needed.max(0.2);
        }
        if needed <= least {
            return least;
        }
        let References { low, mid, high } = references;
        needed.min(0.875 * (mid - low).min(high - mid)).max(least)
    }
}

/// The low and the high side, in parts above the smallest sample.
#[derive(Clone, Copy)]
struct Sides {
    low: Side,
    high: Side,
}

impl Sides {
    fn amplitude(&self) -> u32 {
        self.high.at.saturating_sub(self.low.at)
    }

    /// The same when found in means of samples, which reduce peaks a little.
    fn smoothed(self, lost: u32, range: u32) -> Self {
        let Self { low, high } = self;
        let lost_at = |side: &Side| if side.rests { 0 } else { lost };
        Self {
            low: Side { stretch: None, at: low.at.saturating_sub(lost_at(&low)), ..low },
            high: Side { stretch: None, at: (high.at + lost_at(&high)).min(range), ..high },
        }
    }

    /// Few cycles reach the peaks, so the peak is taken to be near the outermost sample.
    fn take_outermost(&mut self, beyond: u32) {
        self.low.at = self.low.outermost + beyond;
        self.high.at = self.high.outermost.saturating_sub(beyond);
    }

    /// A percentage of the amplitude, from either level inwards.
    fn inner(&self, percent: u32) -> (u32, u32) {
        // Below 2^24 parts.
        let part = self.amplitude() * percent / 100;
        (self.low.at + part, self.high.at.saturating_sub(part))
    }
}
