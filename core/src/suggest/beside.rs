//! What moves beside rare events of a trigger, such as a ripple under a glitch.

use super::overview::Overview;
use super::proposal::{Proposal, choose_level};
use super::replay::{CHUNK, Coupled, Replay};
use super::rhythm::{Pattern, Rhythm};
use super::ruler::Ruler;
use crate::measure::histogram::BINS;
use crate::{Level, Sample, Slope};

/// A smaller movement that a trigger never meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside<T: Sample> {
    /// The signal without the rare events: its states and its noise.
    pub seen: Overview,
    /// A level that meets the movement, and the hysteresis.
    pub level: Level<T>,
    /// The slope whose edges come more evenly.
    pub slope: Slope,
    /// The number of edges of that slope.
    pub edges: u64,
    /// The pattern of these edges.
    pub pattern: Pattern,
}

/// Events are rare if the signal is away from its other state for less than this part of the time.
const RARE: f64 = 0.1;
/// The part of the samples, at either end, that is taken for events.
const AWAY: f64 = 0.02;
/// The number of edges from which a movement is worth reporting.
const MANY: u64 = 8;

/// Looks for a regular movement that the level of a proposal never meets. `None` if there is none,
/// or if the events are not rare.
///
/// ```
/// use stillwave::suggest::{Means, beside, suggest};
/// // A ripple every 40 samples, and one glitch.
/// let ripple = |i: u32| 500 + if i % 40 < 20 { 60 } else { 0 };
/// let samples: Vec<u16> =
///     (0..20_000).map(|i| if (7_000..7_005).contains(&i) { 3000 } else { ripple(i) }).collect();
/// let Ok(found) = suggest(&mut &samples[..], Means::default());
/// let proposal = found.proposal.unwrap();
/// assert_eq!(proposal.events, 1);
/// let Ok(Some(beside)) = beside(&mut &samples[..], &proposal) else { panic!("a ripple") };
/// assert!(beside.edges > 490 && (500..560).contains(&beside.level.level));
/// ```
///
/// # Errors
/// The signal cannot be read.
pub fn beside<T: Sample, R: Replay<T>>(
    signal: &mut R,
    proposal: &Proposal<T>,
) -> Result<Option<Beside<T>>, R::Error> {
    let seen = &proposal.seen;
    let high = (seen.mean - seen.low) / seen.amplitude();
    if (RARE..1.0 - RARE).contains(&high) {
        return Ok(None);
    }
    let signal = &mut Coupled { signal, coupling: proposal.coupling };
    let mut within = [seen.minimum, seen.maximum].map(T::wide_from_f64);
    // The first time a bin may be as wide as all that moves.
    for _ in 0..2 {
        let [Some(low), Some(high)] = within.map(|end| end.and_then(T::at_or_over)) else {
            return Ok(None);
        };
        if low >= high {
            return Ok(None);
        }
        let ends = quantiles(signal, low, high)?;
        within = ends.map(T::wide_from_f64);
    }
    let [Some(low), Some(high)] = within.map(|end| end.and_then(T::at_or_over)) else {
        return Ok(None);
    };
    // What the level or its hysteresis meets is what is proposed already.
    let [level, hysteresis] = [proposal.level.level, proposal.level.hysteresis].map(T::wide_to_f64);
    let [bottom, top] = [low, high].map(|x| T::wide_to_f64(x.widen()));
    if top >= level - hysteresis && bottom <= level {
        return Ok(None);
    }
    let signal = &mut Cut { signal, low, high };
    let Some(seen) = Overview::of(signal)?.filter(Overview::moves) else { return Ok(None) };
    let Some((choice, _)) = choose_level(signal, &seen)? else { return Ok(None) };
    let rhythm = Rhythm::of(signal, choice.slope, choice.level, true)?;
    let is_regular = matches!(rhythm.pattern, Pattern::Even { .. } | Pattern::Bursts(_));
    let is_more = rhythm.edges >= MANY.max(4 * proposal.events.saturating_add(proposal.held_off));
    Ok((is_regular && is_more).then_some(Beside {
        seen,
        level: choice.level,
        slope: choice.slope,
        edges: rhythm.edges,
        pattern: rhythm.pattern,
    }))
}

/// The range that contains all samples but a few at either end, to 1/256 of the whole range.
fn quantiles<T: Sample, R: Replay<T>>(
    signal: &mut R,
    low: T,
    high: T,
) -> Result<[f64; 2], R::Error> {
    let ruler = Ruler::new(low, high);
    let steps = u64::from(ruler.steps(high)) + 1;
    let (mut counts, mut all) = ([0_u64; BINS], 0_u64);
    (Cut { signal, low, high }).replay(|block| {
        for &x in block {
            let bin = u64::from(ruler.steps(x)) * BINS as u64 / steps;
            if let Some(count) = counts.get_mut(bin as usize) {
                *count += 1;
            }
        }
        all += block.len() as u64;
    })?;
    let few = (AWAY * all as f64) as u64;
    let beyond_few = |bins: &mut dyn Iterator<Item = &u64>| {
        let mut passed = 0;
        let is_few = |count: &&u64| {
            passed += **count;
            passed <= few
        };
        bins.take_while(is_few).count() as f64
    };
    let (first, last) =
        (beyond_few(&mut counts.iter()), BINS as f64 - beyond_few(&mut counts.iter().rev()));
    let wide = steps as f64 / BINS as f64;
    // A step is where it begins, the last one as well.
    Ok([ruler.at(first * wide), ruler.at((last * wide - 1.0).max(first * wide))])
}

/// A signal that is clipped at two ends and without the samples that are not finite.
struct Cut<'r, R, T> {
    signal: &'r mut R,
    low: T,
    high: T,
}

impl<T: Sample, R: Replay<T>> Replay<T> for Cut<'_, R, T> {
    type Error = R::Error;

    fn replay(&mut self, mut each: impl FnMut(&[T])) -> Result<(), R::Error> {
        let (low, high) = (self.low, self.high);
        let mut out = [T::default(); CHUNK];
        self.signal.replay(|block| {
            for chunk in block.chunks(CHUNK) {
                let mut length = 0;
                for (out, &x) in out.iter_mut().zip(chunk.iter().filter(|x| x.is_finite())) {
                    *out = clamped(x, low, high);
                    length += 1;
                }
                each(out.get(..length).unwrap_or_default());
            }
        })
    }
}

fn clamped<T: Sample>(x: T, low: T, high: T) -> T {
    if x < low {
        low
    } else if x > high {
        high
    } else {
        x
    }
}
