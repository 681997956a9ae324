//! From what was counted to sentences.

use std::collections::BTreeMap;

use serde::Serialize;
use stillwave::{Composition, Level, Sample, Setup, Slope};

use super::Tally;
use super::spread::Bar;
use super::times;
use super::watch::{Watch, Watched};
use crate::calibration::Calibration;
use crate::plan::TriggerPlan;
use crate::view::{Histogram, Unit};

/// Why a condition fired or did not. Times are in seconds where the rate is known, else in samples;
/// levels in volts where the scale is known, else in counts.
#[derive(Debug, Clone, Serialize)]
pub struct Explanation {
    /// Samples looked at, in each channel.
    pub samples: u64,
    /// Events of the condition, accepted or not.
    pub events: u64,
    /// Events that the holdoff refused.
    pub held_off: u64,
    /// The cause, in a sentence.
    pub cause: String,
    /// What else is to be known.
    pub details: Vec<String>,
    /// What to do, in numbers.
    pub suggestion: Option<String>,
    /// The times that were measured, where the condition measures one.
    pub time: Option<TimeAccount>,
    /// What the signal does at each level of the condition.
    pub levels: Vec<LevelAccount>,
    /// What was said on a line, and how often.
    pub said: BTreeMap<String, u64>,
    /// The quantity that decides, with its bounds.
    #[serde(skip)]
    pub histogram: Option<Histogram>,
}

/// The times that could have been events.
#[derive(Debug, Clone, Serialize)]
pub struct TimeAccount {
    /// How many.
    pub candidates: u64,
    /// How many were as asked.
    pub as_asked: u64,
    /// How many would have to be longer.
    pub too_short: u64,
    /// How many would have to be shorter.
    pub too_long: u64,
    /// The shortest.
    pub shortest: f64,
    /// The longest.
    pub longest: f64,
    /// The nearest misses.
    pub nearest: Vec<Nearest>,
}

/// A near miss.
#[derive(Debug, Clone, Serialize)]
pub struct Nearest {
    /// The sample at which it ended.
    pub position: u64,
    /// When it ended.
    pub at: f64,
    /// How long it was.
    pub time: f64,
    /// How far that is from what was asked for.
    pub lacked: f64,
}

/// What swings in one direction come to at a level.
#[derive(Debug, Clone, Serialize)]
pub struct LevelAccount {
    /// The channel, from 1.
    pub channel: usize,
    /// The level.
    pub level: f64,
    /// The direction: rising or falling.
    pub slope: &'static str,
    /// Swings that passed it, armed.
    pub passed: u64,
    /// Swings that turned before it.
    pub short: u64,
    /// Swings that passed it without having been armed.
    pub unarmed: u64,
    /// Swings that began beyond it.
    pub beyond: u64,
    /// By how much the nearest of the short ones missed it.
    pub short_by: Option<f64>,
    /// The sample at which that one turned.
    pub short_at: Option<u64>,
    /// The same in words.
    #[serde(skip)]
    pub words: String,
}

/// All that was counted.
pub(super) struct Findings<'a, T: Sample> {
    pub(super) plan: &'a TriggerPlan<T>,
    pub(super) samples: u64,
    pub(super) events: u64,
    pub(super) held_off: u64,
    pub(super) tally: &'a Tally,
    pub(super) candidates: Option<u64>,
    pub(super) watch: &'a Watch<T>,
}

pub(super) fn account<T: Sample>(found: &Findings<'_, T>) -> Explanation {
    let noun = noun(&found.plan.setup);
    let levels: Vec<LevelAccount> =
        found.watch.0.iter().map(|watched| level_account(watched, found.plan)).collect();
    let runts = matches!(
        found.plan.setup,
        Composition::Single(Setup::Runt { .. })
            | Composition::Qualified { of: Setup::Runt { .. }, .. }
    );
    // Every other level of a runt is one that it must not pass.
    let (needed, avoided): (Vec<_>, Vec<_>) = found
        .watch
        .0
        .iter()
        .zip(&levels)
        .enumerate()
        .partition(|(n, _)| !runts || n.is_multiple_of(2));
    let never = needed.into_iter().map(|(_, both)| both).find(|(_, level)| level.passed == 0);
    let too_high = avoided.into_iter().map(|(_, both)| both).find(|(_, level)| level.passed > 0);
    let time = times::account(found, noun);
    let mut details = Vec::new();
    let mut suggestion = None;
    let fires = match (found.events, found.held_off) {
        (0, _) => String::new(),
        (events, 0) => format!("it fires: {}", counted(events, "event")),
        (events, held) => format!(
            "it fires: {}, of which {held} were held off by --holdoff or --every",
            counted(events, "event")
        ),
    };
    let mut histogram = None;
    let cause = match (&time, never) {
        (Some(times), _) if times.account.candidates > 0 => {
            suggestion.clone_from(&times.suggestion);
            histogram = Some(times.histogram.clone());
            if found.events == 0 {
                times.words.clone()
            } else {
                format!("{fires}; {}", times.words)
            }
        }
        (_, Some((watched, level))) if found.events == 0 => {
            suggestion = try_level(watched, found.plan);
            histogram = turns(watched, found.plan);
            format!("no {noun}: {}", level.words)
        }
        _ if found.events > 0 => fires,
        _ => match (found.candidates, too_high) {
            (_, Some((watched, level))) => {
                histogram = turns(watched, found.plan);
                format!("no {noun}: {}, and so are none", level.words)
            }
            (Some(0), _) => format!("no {noun} came, though every level is passed"),
            (Some(candidates), _) => {
                format!("{}, but none as asked for", counted(candidates, noun))
            }
            (None, _) => format!("every level is passed, but there was no {noun}"),
        },
    };
    // What each level says is of use where the cause is not there already.
    details.extend(levels.iter().map(|level| level.words.clone()).filter(|w| !cause.contains(w)));
    if histogram.is_none() {
        histogram = found.watch.0.first().and_then(|watched| turns(watched, found.plan));
    }
    if found.tally.misses.is_none() && !found.tally.said.is_empty() {
        details.push(said(&found.tally.said));
    }
    if let Composition::Qualified { .. } = found.plan.setup
        && let Some(candidates) = found.candidates
        && found.events < candidates
        && found.tally.misses.is_none()
    {
        let shut = candidates - found.events;
        details.push(format!(
            "{} came while the channel of --while was not as asked",
            counted(shut, noun)
        ));
    }
    Explanation {
        samples: found.samples,
        events: found.events,
        held_off: found.held_off,
        cause,
        details,
        suggestion,
        time: time.map(|times| times.account),
        levels,
        said: found.tally.said.clone(),
        histogram,
    }
}

/// What a condition looks for, in a word.
fn noun<T: Sample>(composition: &Composition<T>) -> &'static str {
    match composition {
        Composition::Single(setup) | Composition::Qualified { of: setup, .. } => match setup {
            Setup::Pulse { .. } => "pulse",
            Setup::Interval { .. } => "interval",
            Setup::Dropout { .. } => "gap between edges",
            Setup::Transition { .. } => "transition",
            Setup::Runt { .. } => "runt",
            Setup::Window { .. } => "stay",
            _ => "edge",
        },
        Composition::Delay { .. } => "delay",
        Composition::Count { .. } => "edge",
        Composition::Sequence { .. } => "sequence",
        Composition::Pattern { .. } => "pattern",
        Composition::SetupHold { .. } => "change near a clock edge",
        Composition::Uart { when: stillwave::UartWhen::Break(_), .. } => "absence from rest",
        Composition::Uart { .. } => "character or error",
        Composition::I2c { .. } => "start, stop or byte",
        Composition::Spi { .. } => "word",
        Composition::Video { .. } => "line or field",
        _ => "event",
    }
}

/// `1 pulse`, `2 pulses`.
pub(super) fn counted(count: u64, noun: &str) -> String {
    let many = |noun: &str| match noun {
        "gap between edges" => "gaps between edges".to_owned(),
        "absence from rest" => "absences from rest".to_owned(),
        "change near a clock edge" => "changes near a clock edge".to_owned(),
        "character or error" => "characters or errors".to_owned(),
        "start, stop or byte" => "starts, stops or bytes".to_owned(),
        "line or field" => "lines or fields".to_owned(),
        noun => format!("{noun}s"),
    };
    if count == 1 { format!("1 {noun}") } else { format!("{count} {}", many(noun)) }
}

fn level_account<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> LevelAccount {
    let misses = &watched.misses;
    let Level { level, channel, .. } = misses.level();
    let (channel, calibration) = plan.channel(channel);
    let number = T::wide_to_f64(level);
    let short = misses.nearest_short();
    LevelAccount {
        channel,
        level: in_volts(number, calibration),
        slope: match misses.slope() {
            Slope::Rising => "rising",
            Slope::Falling => "falling",
        },
        passed: misses.passed(),
        short: misses.short(),
        unarmed: misses.unarmed(),
        beyond: misses.beyond(),
        short_by: short.map(|miss| difference(T::wide_to_f64(miss.lacked), calibration)),
        short_at: short.map(|miss| miss.at),
        words: level_words(watched, channel, calibration),
    }
}

fn level_words<T: Sample>(
    watched: &Watched<T>,
    channel: usize,
    calibration: &Calibration,
) -> String {
    let misses = &watched.misses;
    let (rises, above, top) = match misses.slope() {
        Slope::Rising => ("rise", "below", "highest"),
        Slope::Falling => ("fall", "above", "lowest"),
    };
    let level = calibration.show_level(T::wide_to_f64(misses.level().level));
    let of = format!("the level of {level} on channel {channel}");
    let lacks = |lacked: T::Wide| calibration.show_difference(T::wide_to_f64(lacked));
    let at = |position: u64| match calibration.time(position as f64) {
        Some(time) => format!("sample {position} ({})", crate::quantity::format_si(time, "s", 6)),
        None => format!("sample {position}"),
    };
    let passed = misses.passed();
    let mut words = Vec::new();
    if passed > 0 {
        words.push(format!("{} {of}", passes(passed, rises)));
    }
    if let Some(near) = misses.nearest_short() {
        let turn = if misses.short() == 1 { "turns" } else { "turn" };
        let of = if passed > 0 { "it" } else { &of };
        words.push(format!(
            "{} {turn} {above} {of}, the {top} {} short of it at {}",
            counted(misses.short(), rises),
            lacks(near.lacked),
            at(near.at)
        ));
    }
    if let Some(near) = misses.nearest_unarmed() {
        let pass = if misses.unarmed() == 1 { "passes" } else { "pass" };
        let of = if words.is_empty() { &of } else { "it" };
        words.push(format!(
            "{} {pass} {of} without having been {above} its hysteresis of {}: the nearest lacks {} at {}",
            counted(misses.unarmed(), rises),
            calibration.show_difference(T::wide_to_f64(misses.level().hysteresis)),
            lacks(near.lacked),
            at(near.at)
        ));
    }
    if words.is_empty() {
        let range = watched.covered().map(|(low, high)| {
            format!(
                "the signal goes from {} to {}",
                calibration.show_level(low),
                calibration.show_level(high)
            )
        });
        let beyond = if misses.beyond() > 0 { ", all beyond it" } else { "" };
        return format!(
            "nothing passes {of}: {}{beyond}",
            range.unwrap_or_else(|| "there is no signal".to_owned())
        );
    }
    words.join("; ")
}

fn passes(count: u64, noun: &str) -> String {
    format!("{} {}", counted(count, noun), if count == 1 { "passes" } else { "pass" })
}

/// A level that would be passed: half way between where the signal turns.
fn try_level<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> Option<String> {
    let (channel, calibration) = plan.channel(watched.misses.level().channel);
    let (end, begin) = (watched.ends.median()?, watched.begins.median()?);
    let middle = f64::midpoint(end, begin);
    let hysteresis = T::wide_to_f64(watched.misses.level().hysteresis);
    let widest = (end - begin).abs() / 4.0;
    let and = if hysteresis > widest * 1.9 {
        format!(", and a hysteresis of {} or less", calibration.show_difference(widest.floor()))
    } else {
        String::new()
    };
    let middle = if middle.abs() > 50.0 { middle.round() } else { middle };
    Some(format!(
        "a level of {} on channel {channel}{and}: half way between where the signal turns, {} and {} \
         in the middle",
        calibration.show_level(middle),
        calibration.show_level(begin.min(end)),
        calibration.show_level(begin.max(end)),
    ))
}

/// Where the signal turns, as a histogram, with the level.
fn turns<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> Option<Histogram> {
    let (channel, calibration) = plan.channel(watched.misses.level().channel);
    let (low, high) = watched.ends.range()?;
    let level = T::wide_to_f64(watched.misses.level().level);
    let convert = |counts: f64| in_volts(counts, calibration);
    let bars = bars(&watched.ends, low, high, &[level]);
    let what = match watched.misses.slope() {
        Slope::Rising => "where the signal turns down again",
        Slope::Falling => "where the signal turns up again",
    };
    let bars = bars.into_iter().map(|bar| Bar {
        low: convert(bar.low),
        high: convert(bar.high),
        count: bar.count,
    });
    Some(Histogram {
        title: format!("{what}, channel {channel}"),
        condition: plan.describe(),
        axis: if calibration.scale.is_some() { "voltage" } else { "value" },
        unit: if calibration.scale.is_some() { Some(Unit::Volts) } else { Some(Unit::Counts) },
        rate: None,
        bars: bars.map(|bar| (bar.low, bar.high, bar.count)).collect(),
        bounds: vec![("level".to_owned(), convert(level))],
    })
}

/// Bars whose edges are at the first of `bounds`, over all values and bounds.
pub(super) fn bars(
    spread: &super::spread::Spread,
    low: f64,
    high: f64,
    bounds: &[f64],
) -> Vec<Bar> {
    const BARS: f64 = 16.0;
    let low = bounds.iter().copied().fold(low, f64::min);
    let high = bounds.iter().copied().fold(high, f64::max);
    let whole = (high - low).max(high.abs().max(low.abs()) * 1e-3).max(1e-9);
    let width = whole / BARS;
    let origin = bounds.first().copied().unwrap_or(low);
    let first = ((low - origin) / width - 1e-6).floor() - 1.0;
    let last = ((high - origin) / width + 1e-6).ceil() + 1.0;
    spread.bars(origin + first * width, origin + last * width, (last - first) as usize)
}

/// Counts in volts, where that is known.
fn in_volts(counts: f64, calibration: &Calibration) -> f64 {
    let counts = counts - calibration.origin;
    calibration.scale.map_or(counts, |scale| scale.volts(counts))
}

fn difference(counts: f64, calibration: &Calibration) -> f64 {
    calibration.scale.map_or(counts, |scale| scale.volts(scale.zero + counts))
}

/// What was said most, with how often.
fn said(said: &BTreeMap<String, u64>) -> String {
    let mut all: Vec<_> = said.iter().collect();
    all.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
    let most: Vec<_> =
        all.iter().take(8).map(|(what, count)| format!("{count} × {what}")).collect();
    let rest = match all.len().saturating_sub(8) {
        0 => String::new(),
        n => format!(" and {n} others"),
    };
    format!("what came: {}{rest}", most.join(", "))
}
