//! Times that could have been events, in words.

use serde::Serialize;
use stillwave::near::TimeMisses;
use stillwave::{Comparison, Sample, Span};

use super::findings::Findings;
use super::spread::bars;
use crate::calibration::Calibration;
use crate::plan::{Described, Description};
use crate::quantity::{counted, format_si};
use crate::view::Histogram;

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

/// All that is to be said of them.
pub(super) struct Times {
    pub(super) account: TimeAccount,
    pub(super) words: String,
    pub(super) suggestion: Option<String>,
    pub(super) histogram: Histogram,
}

pub(super) fn account<T: Sample>(found: &Findings<'_, T>, noun: &str) -> Option<Times> {
    let misses = found.tally.misses.as_ref()?;
    let calibration = found.plan.channel(0).1;
    let (shortest, longest) = found.tally.times.range().unwrap_or((0.0, 0.0));
    let seconds = |samples: f64| calibration.rate.map_or(samples, |rate| samples / rate);
    let nearest = misses.nearest().iter().map(|miss| Nearest {
        position: miss.at.position,
        at: calibration.time(miss.at.samples()).unwrap_or(miss.at.samples()),
        time: seconds(miss.time.to_samples()),
        lacked: seconds(miss.lacked.to_samples()),
    });
    let account = TimeAccount {
        candidates: misses.seen(),
        as_asked: misses.held(),
        too_short: misses.too_short(),
        too_long: misses.too_long(),
        shortest: seconds(shortest),
        longest: seconds(longest),
        nearest: nearest.collect(),
    };
    Some(Times {
        words: words(misses, noun, (shortest, longest), calibration),
        suggestion: suggestion(found, misses, calibration),
        histogram: histogram(found, misses, noun, calibration),
        account,
    })
}

fn words(
    misses: &TimeMisses,
    noun: &str,
    (shortest, longest): (f64, f64),
    calibration: &Calibration,
) -> String {
    let show = |samples: f64| short(samples, calibration);
    let lasted = if (longest - shortest).abs() < 1e-4 * longest {
        show(longest)
    } else {
        format!("from {} to {}", show(shortest), show(longest))
    };
    let failed = match (misses.too_short(), misses.too_long()) {
        (0, 0) => return format!("all of {} as asked for", counted(misses.seen(), noun)),
        (short, 0) => format!("{short} too short"),
        (0, long) => format!("{long} too long"),
        (short, long) => format!("{short} too short, {long} too long"),
    };
    let near = misses.nearest().first().map_or_else(String::new, |near| {
        let when = match calibration.time(near.at.samples()) {
            Some(time) => format!(" ({})", format_si(time, "s", 6)),
            None => String::new(),
        };
        format!(
            "; the nearest, {}, by {} at sample {}{when}",
            show(near.time.to_samples()),
            show(near.lacked.to_samples()),
            near.at.position
        )
    });
    format!(
        "{}, {lasted}; wanted {}: {failed}{near}",
        counted(misses.seen(), noun),
        wanted(misses.asked(), calibration)
    )
}

fn wanted(asked: Comparison, calibration: &Calibration) -> String {
    let show = |span: Span| short(span.to_samples(), calibration);
    match asked {
        Comparison::ShorterThan(bound) => format!("shorter than {}", show(bound)),
        Comparison::LongerThan(bound) => format!("longer than {}", show(bound)),
        Comparison::Within(low, Span::MAX) => format!("{} or longer", show(low)),
        Comparison::Within(low, high) => format!("from {} to {}", show(low), show(high)),
        Comparison::Outside(low, high) => {
            format!("shorter than {} or longer than {}", show(low), show(high))
        }
    }
}

/// A time in seconds, or in samples where the rate is not known.
fn short(samples: f64, calibration: &Calibration) -> String {
    match calibration.rate {
        Some(rate) => format_si(samples / rate, "s", 4),
        None => format!("{samples:.2} samples"),
    }
}

/// A bound that takes the nearest misses, and how many these are.
fn suggestion<T: Sample>(
    found: &Findings<'_, T>,
    misses: &TimeMisses,
    calibration: &Calibration,
) -> Option<String> {
    if misses.held() > 0 {
        return None;
    }
    let near = misses.nearest().first()?;
    let time = near.time.to_samples();
    let is_short = misses.asked().lack(near.time)?.0;
    // From the nearest on, away from the bound.
    let (edge, count, next) = found.tally.times.cluster(time, !is_short);
    let beyond = if is_short { edge * 0.98 } else { edge * 1.02 };
    let bound = match next {
        // Not as far as the next.
        Some(next) if (next - edge).abs() < 2.0 * (beyond - edge).abs() => {
            f64::midpoint(next, edge)
        }
        _ => beyond,
    };
    let [lower, upper] = options(found.plan.setup.description(), misses.asked());
    let option = if is_short { lower } else { upper };
    let value = match calibration.rate {
        Some(rate) => format_si(bound / rate, "s", 4).replace(' ', "").replace('µ', "u"),
        None => format!("{bound:.2}sa"),
    };
    let show = |samples: f64| short(samples, calibration);
    let value = match misses.asked() {
        Comparison::Within(low, high) | Comparison::Outside(low, high)
            if option == "--within" || option == "--outside" =>
        {
            let other = if is_short { high } else { low };
            let other = match calibration.rate {
                Some(rate) => {
                    format_si(other.to_seconds(rate), "s", 4).replace(' ', "").replace('µ', "u")
                }
                None => format!("{:.2}sa", other.to_samples()),
            };
            if is_short { format!("{value}..{other}") } else { format!("{other}..{value}") }
        }
        _ => value,
    };
    let those = if edge == time {
        show(edge)
    } else {
        format!("{} to {}", show(edge.min(time)), show(edge.max(time)))
    };
    Some(format!("{option} {value} would take {count} of them, those of {those}"))
}

/// The options that say how long something must be at least, and at most.
fn options<T: Sample>(condition: &dyn Description<T>, asked: Comparison) -> [&'static str; 2] {
    condition.bounds().unwrap_or(match asked {
        Comparison::ShorterThan(_) => ["--shorter-than"; 2],
        Comparison::LongerThan(_) => ["--longer-than"; 2],
        Comparison::Within(..) => ["--within"; 2],
        Comparison::Outside(..) => ["--outside"; 2],
    })
}

fn histogram<T: Sample>(
    found: &Findings<'_, T>,
    misses: &TimeMisses,
    noun: &str,
    calibration: &Calibration,
) -> Histogram {
    let bounds: Vec<(&str, Span)> = match misses.asked() {
        Comparison::ShorterThan(bound) => vec![("shorter than", bound)],
        Comparison::LongerThan(bound) => vec![("longer than", bound)],
        Comparison::Within(low, Span::MAX) => vec![("from", low)],
        Comparison::Within(low, high) => vec![("from", low), ("to", high)],
        Comparison::Outside(low, high) => vec![("shorter than", low), ("longer than", high)],
    };
    let (low, high) = found.tally.times.range().unwrap_or((0.0, 1.0));
    let at: Vec<f64> = bounds.iter().map(|(_, span)| span.to_samples()).collect();
    let seconds = |samples: f64| calibration.rate.map_or(samples, |rate| samples / rate);
    let bars = bars(&found.tally.times, low, high, &at);
    Histogram {
        title: format!("how long: {}", counted(misses.seen(), noun)),
        condition: found.plan.describe(),
        axis: "time",
        unit: None,
        rate: calibration.rate,
        // No time is below 0.
        bars: bars
            .iter()
            .filter(|bar| bar.high > 0.0)
            .map(|bar| (seconds(bar.low.max(0.0)), seconds(bar.high), bar.count))
            .collect(),
        bounds: bounds
            .iter()
            .map(|(name, span)| ((*name).to_owned(), seconds(span.to_samples())))
            .collect(),
    }
}
