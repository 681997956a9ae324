//! From what was counted to sentences.

use std::collections::BTreeMap;

use serde::Serialize;
use stillwave::{QualifiedConfig, Sample, Side};

use super::bursts::Bursts;
use super::findings::Findings;
use super::levels::{LevelAccount, try_level, turns};
use super::times::{self, TimeAccount};
use crate::plan::Described;
use crate::quantity::counted;
use crate::view::Histogram;

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

pub(super) fn account<T: Sample>(found: &Findings<'_, T>) -> Explanation {
    let noun = found.plan.setup.description().noun();
    let levels: Vec<LevelAccount> =
        found.watch.0.iter().map(|watched| LevelAccount::new(watched, found.plan)).collect();
    let avoids = found.plan.setup.description().avoids_every_other_level();
    let (needed, avoided): (Vec<_>, Vec<_>) = found
        .watch
        .0
        .iter()
        .zip(&levels)
        .filter(|(watched, _)| !watched.is_gate)
        .enumerate()
        .partition(|(n, _)| !avoids || n.is_multiple_of(2));
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
    let rate = found.plan.channel(0).1.rate;
    let mut histogram = None;
    let shut = shut(found);
    let cause = match (&time, never) {
        _ if found.events == 0 && shut.is_some() => {
            details.extend(time.as_ref().map(|times| times.words.clone()));
            format!("no {noun}: {}", shut.as_deref().unwrap_or_default())
        }
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
            (Some(candidates), _) => match found.bursts {
                Some(bursts) => bursts.words(rate),
                None => format!("{}, but none as asked for", counted(candidates, noun)),
            },
            (None, _) => format!("every level is passed, but there was no {noun}"),
        },
    };
    // What each level says is of use where the cause is not there already.
    details.extend(levels.iter().map(|level| level.words.clone()).filter(|w| !cause.contains(w)));
    if let Some(most) = found.bursts.and_then(Bursts::most)
        && suggestion.is_none()
    {
        suggestion = Some(format!("--events {most}"));
    }
    if let Some((words, baud)) = found.bits.and_then(|bits| bits.words(rate)) {
        details.insert(0, words);
        suggestion = Some(baud);
    }
    // Where the levels are passed and nothing is as asked for, voltages say nothing.
    let counts_voltages = found.bursts.is_none() && found.tally.said.is_empty();
    if histogram.is_none() && counts_voltages {
        histogram = found.watch.0.first().and_then(|watched| turns(watched, found.plan));
    }
    if found.tally.misses.is_none() && !found.tally.said.is_empty() {
        details.push(said(&found.tally.said));
    }
    details.extend(shut.filter(|shut| !cause.contains(shut.as_str())));
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

/// How many events `--while` refused, if it did.
fn shut<T: Sample>(found: &Findings<'_, T>) -> Option<String> {
    let QualifiedConfig { gate, side, .. } = found.plan.setup.description().gate()?;
    let shut = found.ungated?.saturating_sub(found.events);
    let side = match side {
        Side::High => "high",
        Side::Low => "low",
    };
    let (channel, _) = found.plan.channel(gate.channel);
    let events = counted(shut, "event");
    (shut > 0).then(|| format!("{events} came while channel {channel} was not {side} (--while)"))
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
