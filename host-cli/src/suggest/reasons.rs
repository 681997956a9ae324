//! Why a proposal is what it is: a sentence for each setting.

use stillwave::suggest::{
    Beside, HysteresisReason, LevelReason, Overview, Pattern, Proposal, SlopeReason,
};
use stillwave::{Coupling, Sample, Slope};

use super::{Options, difference, level, samples, voltage};
use crate::calibration::Calibration;
use crate::quantity::{be, counted, format_si};

/// A setting, what it is, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// The setting, in a word.
    pub name: &'static str,
    /// What it is, as it would be typed.
    pub value: String,
    /// Why.
    pub why: String,
}

/// What there is to say where nothing moves.
pub fn nothing_moves(overview: &Overview, calibration: &Calibration) -> String {
    match overview.samples {
        0 => return "there are no samples to look at".to_owned(),
        few @ 1..16 => {
            let samples = counted(few, "sample");
            return format!("{samples} {} too few to tell anything", be(few));
        }
        _ => {}
    }
    let range = overview.maximum - overview.minimum;
    let level = level(calibration, overview.mean);
    if range == 0.0 {
        return format!(
            "nothing moves: it is {level} all the time; there is nothing to trigger on"
        );
    }
    format!(
        "nothing moves: it stays at {level}, but for noise of {} ({} from peak to peak); there is \
         nothing to trigger on",
        difference(calibration, overview.noise),
        difference(calibration, range),
    )
}

/// The reasons of a proposal, in the order in which a person would go through the settings.
pub fn reasons<T: Sample>(
    proposal: &Proposal<T>,
    beside: Option<&Beside<T>>,
    overview: &Overview,
    options: &Options,
    calibration: &Calibration,
) -> Vec<Reason> {
    let reason = |name, value: &str, why: String| Reason { name, value: value.to_owned(), why };
    let mut reasons = vec![
        reason("level", &options.level.text, level_reason(proposal, calibration)),
        reason("hysteresis", &options.hysteresis.text, hysteresis_reason(proposal, calibration)),
        reason("slope", options.slope, slope_reason(proposal)),
    ];
    if let (Coupling::HighReject(_), Some(corner)) = (proposal.coupling, &options.corner) {
        let [before, after] =
            [overview.noise, proposal.seen.noise].map(|noise| difference(calibration, noise));
        let why = format!(
            "noise of {before} is strong beside the signal: the trigger sees what is below this \
             corner, where {after} of it is left"
        );
        reasons.push(reason("corner", &corner.text, why));
    }
    let holdoff = options.holdoff.as_ref().map_or("none", |holdoff| &holdoff.text);
    reasons.push(reason("holdoff", holdoff, holdoff_reason(proposal, calibration)));
    let record = format!("{} + {}", options.pre.text, options.post.text);
    reasons.push(reason("record", &record, record_reason(&proposal.pattern)));
    let decimation = match proposal.decimation {
        1 => None,
        n => Some((n, samples(calibration, proposal.height))),
    };
    if let Some((n, height)) = decimation {
        let why = format!(
            "an edge takes {height} for its full height, and 8 samples show it: a board may keep \
             one sample in so many"
        );
        reasons.push(reason("decimation", &n.to_string(), why));
    }
    reasons.push(jitter(proposal, calibration));
    reasons.extend(intervals(proposal, calibration));
    reasons.extend(beside.map(|beside| smaller(beside, calibration)));
    reasons
}

fn level_reason<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> String {
    let seen = &proposal.seen;
    let [low, high] = [seen.low, seen.high].map(|counts| level(calibration, counts));
    let rests = if seen.has_states { "" } else { ", which are its extremes: it rests nowhere" };
    let between = format!("between {low} and {high}{rests}");
    match proposal.level_reason {
        LevelReason::Middle => format!("half way {between}"),
        LevelReason::Steadier => {
            format!("{between}; edges come less evenly half way, where the signal lingers")
        }
    }
}

fn hysteresis_reason<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> String {
    let noise = difference(calibration, proposal.seen.noise);
    match proposal.hysteresis_reason {
        HysteresisReason::Noise => {
            format!("eight times the noise, whose standard deviation is {noise}")
        }
        HysteresisReason::Amplitude => {
            format!("a twentieth of the amplitude; noise of {noise} would need less")
        }
        HysteresisReason::Ripple => {
            "with less, edges come less evenly: a ripple fires too".to_owned()
        }
        HysteresisReason::Limited => format!(
            "two fifths of the amplitude, the most there is room for; noise of {noise} would need \
             more"
        ),
    }
}

fn slope_reason<T: Sample>(proposal: &Proposal<T>) -> String {
    let (this, other) = match proposal.slope {
        Slope::Rising => ("rising", "falling"),
        Slope::Falling => ("falling", "rising"),
    };
    let percent = |part: f64| format!("{:.2} %", part * 100.0);
    match proposal.slope_reason {
        SlopeReason::Regular { this: even, other: uneven } => format!(
            "{this} edges come at even intervals (to {}), {other} ones less so (to {})",
            percent(even),
            percent(uneven)
        ),
        SlopeReason::Leading => format!("a {this} edge begins each pulse"),
        SlopeReason::Only => format!("there is no {other} edge"),
        SlopeReason::Either => "edges of either slope come as evenly".to_owned(),
    }
}

fn holdoff_reason<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> String {
    let time = |length: f64| samples(calibration, length);
    let is_held_off = proposal.holdoff != stillwave::Holdoff::None;
    match proposal.pattern {
        Pattern::Bursts(bursts) => {
            let edges = match bursts.edges {
                (fewest, most) if fewest == most => format!("{most} edges come"),
                (fewest, most) => format!("{fewest} to {most} edges come"),
            };
            format!(
                "{edges} within {}, and again every {}: past the last, before the next first",
                time(bursts.duration),
                time(bursts.repetition)
            )
        }
        _ if is_held_off => {
            "noise may fire twice on an edge: not before the next one is due".to_owned()
        }
        Pattern::Even { period } => format!("edges come evenly, one every {}", time(period)),
        Pattern::Irregular { interval } => format!(
            "edges come without a pattern, one every {} on average: the picture is steady at the \
             edge alone",
            time(interval)
        ),
        Pattern::Once | Pattern::None => "there is one edge alone".to_owned(),
    }
}

fn record_reason(pattern: &Pattern) -> String {
    match pattern {
        Pattern::Bursts(_) => "a whole burst, and a quarter as much around it",
        Pattern::Even { .. } => "some periods, or all of a pulse that is short beside its period",
        Pattern::Irregular { .. } => "some pulses",
        Pattern::Once | Pattern::None => "the pulse, and what is around it",
    }
    .to_owned()
}

fn jitter<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> Reason {
    let found = proposal.jitter;
    let show = |samples: f64| match calibration.rate {
        Some(rate) => format_si(samples / rate, "s", 3),
        None => format!("{samples:.4} samples"),
    };
    let slew = proposal.seen.amplitude() / proposal.height;
    let slew = match calibration.rate {
        Some(rate) => {
            let volts = calibration.scale.map(|scale| scale.volts_per_count.abs());
            let unit = if volts.is_some() { "V/s" } else { "counts/s" };
            format_si(slew * rate * volts.unwrap_or(1.0), unit, 3)
        }
        None => format!("{} a sample", difference(calibration, slew)),
    };
    Reason {
        name: "jitter",
        value: show(found.total()),
        why: format!(
            "noise over a slope of {slew} makes {} (standard deviation), the distance of samples \
             {}",
            show(found.noise),
            show(found.sampling)
        ),
    }
}

/// What the proposal came to, in the recording itself.
fn intervals<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> Option<Reason> {
    let found = proposal.intervals?;
    let time = |length: f64| samples(calibration, length);
    // Both ends of an interval wander.
    let explained = proposal.jitter.total() * std::f64::consts::SQRT_2;
    let (shortest, longest) = (time(found.shortest), time(found.longest));
    let judged = match found.deviation / explained {
        _ if found.deviation < 2.0 * explained || found.deviation == 0.0 => {
            "no more than the jitter explains".to_owned()
        }
        _ if matches!(proposal.pattern, Pattern::Even { .. })
            && found.longest > 1.5 * found.mean =>
        {
            "more than the jitter explains: at least one event is missing".to_owned()
        }
        times if times < 1000.0 => {
            format!("{times:.0} times what the jitter explains: the signal itself is uneven there")
        }
        _ => "much more than the jitter explains: the signal itself is uneven there".to_owned(),
    };
    Some(Reason {
        name: "intervals",
        value: time(found.mean),
        why: format!(
            "between the events found, from {shortest} to {longest}; they spread by {} (standard \
             deviation), {judged}",
            time(found.deviation)
        ),
    })
}

/// What else there is to trigger on.
fn smaller<T: Sample>(beside: &Beside<T>, calibration: &Calibration) -> Reason {
    let [at, hysteresis] = [beside.level.level, beside.level.hysteresis].map(T::wide_to_f64);
    let step = beside.seen.amplitude() / 100.0;
    let every = match beside.pattern {
        Pattern::Even { period } => format!(", one every {}", samples(calibration, period)),
        Pattern::Bursts(bursts) => {
            format!(", in bursts, one every {}", samples(calibration, bursts.repetition))
        }
        Pattern::None | Pattern::Once | Pattern::Irregular { .. } => String::new(),
    };
    Reason {
        name: "beside",
        value: difference(calibration, beside.seen.amplitude()),
        why: format!(
            "a smaller signal that does not cross this level: {}{every}; use --level {} \
             --hysteresis {} to trigger on it",
            counted(beside.edges, "edge"),
            voltage(calibration, at, step, true).text,
            voltage(calibration, hysteresis, step, false).text,
        ),
    }
}
