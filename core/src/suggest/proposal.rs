//! The proposed settings, from all that was found.

use super::filter::{self, Chosen};
use super::ladder::{self, Choice, SlopeReason};
use super::replay::{Coupled, Replay};
use super::rhythm::{Pattern, Rhythm, wander};
use super::steepness::Intervals;
use super::steepness::Steepness;
use super::{Jitter, Overview};
use crate::{Coupling, Holdoff, Level, RecordShape, Sample, Slope};

/// The findings about a signal, and the proposed settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suggestion<T: Sample> {
    /// The overview of the signal; without samples if it has none that is finite.
    pub overview: Overview,
    /// The proposed settings; `None` if nothing but noise moves.
    pub proposal: Option<Proposal<T>>,
}

/// Settings that give a steady picture, and the reasons for them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proposal<T: Sample> {
    /// The part of the signal that the trigger sees: all of it, or without what is above a corner.
    pub coupling: Coupling,
    /// The overview of what the trigger sees; its noise is what the coupling leaves of it.
    pub seen: Overview,
    /// The level and the hysteresis.
    pub level: Level<T>,
    /// The reason for the level.
    pub level_reason: LevelReason,
    /// The reason for the hysteresis.
    pub hysteresis_reason: HysteresisReason,
    /// Which edges count.
    pub slope: Slope,
    /// The reason for these edges.
    pub slope_reason: SlopeReason,
    /// Which events are accepted.
    pub holdoff: Holdoff,
    /// The pattern of the edges, on which holdoff and record are based.
    pub pattern: Pattern,
    /// The number of events that the trigger accepts in this signal, and the number it holds off.
    pub events: u64,
    /// See `events`.
    pub held_off: u64,
    /// The shape of the record: two and a half periods, a whole burst, or a single pulse with its
    /// surroundings.
    pub shape: RecordShape,
    /// If only one of this many samples were kept, every edge would still have 8 samples; 1 if all
    /// samples are needed, or the record is short.
    pub decimation: u32,
    /// The number of samples that an edge takes for the full height, at its middle.
    pub height: f64,
    /// The jitter of the trigger instant from noise and sampling.
    pub jitter: Jitter,
    /// The intervals between the events that the trigger accepts in this signal. If they spread by
    /// much more than √2 of the jitter, the signal itself is uneven.
    pub intervals: Option<Intervals>,
}

/// The reason for a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum LevelReason {
    /// Half way between the two states.
    Middle,
    /// A quarter of the way from one state to the other. Half way, where the signal lingers,
    /// intervals typically differ at least twice as much.
    Steadier,
}

/// The reason for a hysteresis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum HysteresisReason {
    /// Eight standard deviations of the noise, 8 σ: to fire twice on one edge, noise would have to
    /// lift the signal by 4 σ and then lower it by 4 σ.
    Noise,
    /// Noise is weak, so it is a twentieth of the amplitude, which covers ripples that are not
    /// noise.
    Amplitude,
    /// More than noise requires: with less, edges come less evenly.
    Ripple,
    /// Two fifths of the amplitude, the most there is room for, although noise requires more.
    Limited,
}

/// The number of deviations of noise that a hysteresis spans.
const DEVIATIONS: f64 = 8.0;
/// The smallest and the largest hysteresis, as parts of the amplitude.
const LEAST: f64 = 0.05;
const MOST: f64 = 0.4;

/// The number of samples in a record before fewer samples gain anything.
const ENOUGH: usize = 500;
/// The number of samples that an edge keeps where others are left out.
const EDGE: f64 = 8.0;

/// What a proposal may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Means {
    /// Filters before the trigger, where noise is strong. Without them, the hysteresis is as wide
    /// as it may be, and events are held off for most of a period.
    pub filters: bool,
}

impl Default for Means {
    fn default() -> Self {
        Self { filters: true }
    }
}

/// Analyses a signal and proposes settings.
///
/// It does not shorten records that are longer than the memory; that is left to the caller.
///
/// The example is an even square wave, without filters:
///
/// ```
/// use stillwave::suggest::{Means, Pattern, suggest};
/// let square: Vec<u16> = (0..10_000).map(|i| if i % 100 < 50 { 3000 } else { 500 }).collect();
/// let Ok(found) = suggest(&mut &square[..], Means { filters: false });
/// let proposal = found.proposal.unwrap();
/// assert_eq!((found.overview.minimum, found.overview.maximum), (500.0, 3000.0));
/// assert_eq!(proposal.pattern, Pattern::Even { period: 100.0 });
/// assert!(proposal.jitter.total() < 0.5);
/// ```
///
/// # Errors
/// The signal cannot be read.
pub fn suggest<T: Sample, R: Replay<T>>(
    signal: &mut R,
    means: Means,
) -> Result<Suggestion<T>, R::Error> {
    let Some(overview) = Overview::of(signal)? else {
        return Ok(Suggestion { overview: Overview::NONE, proposal: None });
    };
    let proposal = if overview.moves() { propose(signal, overview, means)? } else { None };
    Ok(Suggestion { overview, proposal })
}

fn propose<T: Sample, R: Replay<T>>(
    signal: &mut R,
    overview: Overview,
    means: Means,
) -> Result<Option<Proposal<T>>, R::Error> {
    let is_noisy = means.filters && DEVIATIONS * overview.noise > MOST * overview.amplitude();
    let chosen = if is_noisy { filter::choose(signal, &overview)? } else { None };
    let coupling = chosen.map_or(Coupling::Dc, |chosen| chosen.coupling);
    let signal = &mut Coupled { signal, coupling };
    let seen = match chosen {
        None => overview,
        Some(Chosen { noise, .. }) => {
            let Some(seen) = Overview::of(signal)? else { return Ok(None) };
            seen.in_noise(overview.noise * noise)
        }
    };
    let Some((choice, hysteresis_reason)) = choose_level(signal, &seen)? else { return Ok(None) };
    let (choice, hysteresis_reason, level_reason) =
        steadier(signal, &seen, choice, hysteresis_reason)?;
    let Choice { level, slope, reason: slope_reason, .. } = choice;

    let is_limited = hysteresis_reason == HysteresisReason::Limited;
    let rhythm = Rhythm::of(signal, slope, level, !is_limited)?;
    if rhythm.edges == 0 {
        return Ok(None);
    }
    let holdoff = match rhythm.pattern {
        Pattern::Bursts(bursts) => Holdoff::Samples(libm::ceil(bursts.holdoff()) as u64),
        // Noise may fire twice on an edge, and on the way back: not before the next is due.
        _ if is_limited => Holdoff::Samples((0.6 * rhythm.long) as u64),
        _ => Holdoff::None,
    };
    let steepness = Steepness::of(signal, slope, level, holdoff)?;
    let height = match seen.amplitude() * steepness.samples_a_count {
        height if height > 0.0 => height,
        _ => 1.0,
    };
    let shape = shape(&rhythm, seen.samples);
    Ok(Some(Proposal {
        coupling,
        seen,
        level,
        level_reason,
        hysteresis_reason,
        slope,
        slope_reason,
        holdoff,
        pattern: rhythm.pattern,
        events: steepness.accepted,
        held_off: steepness.held_off,
        shape,
        decimation: decimation(shape, height),
        height,
        jitter: Jitter::of(height, seen.amplitude(), seen.noise, coupling != Coupling::Dc),
        intervals: steepness.intervals,
    }))
}

/// The level half way between the states, with its hysteresis and slope.
pub(super) fn choose_level<T: Sample, R: Replay<T>>(
    signal: &mut R,
    seen: &Overview,
) -> Result<Option<(Choice<T>, HysteresisReason)>, R::Error> {
    choose_at(signal, seen, 0.5)
}

/// The level at a part of the way from the low state to the high one.
fn choose_at<T: Sample, R: Replay<T>>(
    signal: &mut R,
    seen: &Overview,
    part: f64,
) -> Result<Option<(Choice<T>, HysteresisReason)>, R::Error> {
    let amplitude = seen.amplitude();
    let (noise, least, most) = (DEVIATIONS * seen.noise, LEAST * amplitude, MOST * amplitude);
    let asked = noise.max(least).min(most);
    let high = (seen.mean - seen.low) / amplitude;
    let choice = ladder::climb(signal, seen.low + part * amplitude, (asked, most), high)?;
    Ok(choice.map(|choice| {
        let reason = if choice.raised {
            HysteresisReason::Ripple
        } else if noise > most {
            HysteresisReason::Limited
        } else if noise > least {
            HysteresisReason::Noise
        } else {
            HysteresisReason::Amplitude
        };
        (choice, reason)
    }))
}

/// The same choice, or one at a quarter of the way from either state if intervals differ by less
/// than half as much there. Half way may be where a signal lingers (crossover distortion, a third
/// level).
fn steadier<T: Sample, R: Replay<T>>(
    signal: &mut R,
    seen: &Overview,
    middle: Choice<T>,
    reason: HysteresisReason,
) -> Result<(Choice<T>, HysteresisReason, LevelReason), R::Error> {
    let mut best = (middle, reason, LevelReason::Middle);
    // Half a sample may be of the sampling alone: nothing that a level could mend.
    let Some(mut least) = wander(signal, middle.slope, middle.level)?.filter(|&far| far > 0.5)
    else {
        return Ok(best);
    };
    least /= 2.0;
    for part in [0.25, 0.75] {
        let Some((choice, reason)) = choose_at(signal, seen, part)? else { continue };
        let Some(far) = wander(signal, choice.slope, choice.level)? else { continue };
        if far < least {
            (best, least) = ((choice, reason, LevelReason::Steadier), far);
        }
    }
    Ok(best)
}

/// The shape of the record for a signal of this many samples.
fn shape(rhythm: &Rhythm, samples: u64) -> RecordShape {
    let pulse = rhythm.width.unwrap_or(samples as f64 / 20.0);
    let (before, after) = match rhythm.pattern {
        // Pulses that are short beside their distance are what there is to see.
        Pattern::Even { period } if 20.0 * pulse > period => (0.5 * period, 2.5 * period),
        Pattern::Bursts(bursts) => {
            let burst = bursts.duration + pulse;
            (0.25 * burst, 1.25 * burst)
        }
        Pattern::Irregular { .. } => (2.0 * pulse, 8.0 * pulse),
        _ => (pulse, 4.0 * pulse),
    };
    let whole = |length: f64, least: f64| libm::ceil(length.max(least)) as u64;
    let (mut before, mut after) = (whole(before, 16.0), whole(after, 48.0));
    // The only events there are must have room for their record.
    if rhythm.edges <= 2 {
        before = before.min(rhythm.first);
        after = after.min(samples.saturating_sub(rhythm.last)).max(1);
    }
    let count = |length: u64| usize::try_from(length).unwrap_or(usize::MAX / 2);
    RecordShape { pre: count(before), post: count(after) }
}

fn decimation(shape: RecordShape, height: f64) -> u32 {
    let (edge, record) = ((height / EDGE) as u32, shape.len() / ENOUGH);
    edge.min(u32::try_from(record).unwrap_or(u32::MAX)).max(1)
}
