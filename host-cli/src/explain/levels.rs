//! What the signal does at the levels of a condition, in numbers and in words.

use serde::Serialize;
use stillwave::{Level, Sample, Slope};

use super::spread::{Bar, bars};
use super::watch::Watched;
use crate::calibration::Calibration;
use crate::plan::TriggerPlan;
use crate::quantity::counted;
use crate::view::{Histogram, Unit};

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

impl LevelAccount {
    pub(super) fn new<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> Self {
        let misses = &watched.misses;
        let Level { level, channel, .. } = misses.level();
        let (channel, calibration) = plan.channel(channel);
        let number = T::wide_to_f64(level);
        let short = misses.nearest_short();
        Self {
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
pub(super) fn try_level<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> Option<String> {
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
pub(super) fn turns<T: Sample>(watched: &Watched<T>, plan: &TriggerPlan<T>) -> Option<Histogram> {
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

/// Counts in volts, where that is known.
fn in_volts(counts: f64, calibration: &Calibration) -> f64 {
    let counts = counts - calibration.origin;
    calibration.scale.map_or(counts, |scale| scale.volts(counts))
}

fn difference(counts: f64, calibration: &Calibration) -> f64 {
    calibration.scale.map_or(counts, |scale| scale.volts(scale.zero + counts))
}
