//! `--on pattern`.

use stillwave::{Composition, LineState, PATTERN_LINES, PatternLine, PatternWhen, Sample, Stay};

use super::super::Ask;
use crate::args::{StateName, WhenName};
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let asked = &ask.args.several.lines;
    if asked.is_empty() {
        return Err(ask.missing("--lines", "--lines 1:high,2:low"));
    }
    if asked.len() > PATTERN_LINES {
        return Err(Error::usage(
            format!("--lines names {} channels", asked.len()),
            format!("name {PATTERN_LINES} or fewer"),
        ));
    }
    let mut lines = [PatternLine::default(); PATTERN_LINES];
    for (line, asked) in lines.iter_mut().zip(asked) {
        let state = asked.word.ok_or_else(|| {
            Error::usage(
                format!("--lines does not say what channel {} is", asked.channel),
                format!("give {0}:high, {0}:low, {0}:rising, …", asked.channel),
            )
        })?;
        *line = PatternLine { state: self::state(state), level: ask.other("--lines", *asked)? };
    }
    let when = when(ask)?;
    let changes = |line: &PatternLine<T>| !matches!(line.state, LineState::High | LineState::Low);
    if when != PatternWhen::Enters && lines[..asked.len()].iter().any(changes) {
        return Err(Error::usage(
            "a pattern with a channel that changes is true at single samples only",
            "leave --when out, or ask for high and low alone",
        ));
    }
    Ok(Composition::Pattern { lines, when })
}

fn when(ask: &Ask<'_>) -> Result<PatternWhen, Error> {
    let name = ask.args.when.unwrap_or(WhenName::Enters);
    if name == WhenName::Stays {
        return Ok(PatternWhen::Stays(stay(ask)?));
    }
    if ask.args.shorter_than.is_some() || ask.args.longer_than.is_some() {
        return Err(Error::usage(
            "--shorter-than and --longer-than have no use without a stay",
            "leave them out, or choose --when stays",
        ));
    }
    match name {
        WhenName::Enters => Ok(PatternWhen::Enters),
        WhenName::Leaves => Ok(PatternWhen::Leaves),
        _ => Err(Error::usage(
            "a pattern has no inside or outside",
            "choose --when enters, leaves or stays",
        )),
    }
}

/// A stay that is longer is told when it is, in whole samples.
fn stay(ask: &Ask<'_>) -> Result<Stay, Error> {
    match (ask.args.shorter_than, ask.args.longer_than) {
        (Some(bound), _) => Ok(Stay::ShorterThan(ask.span("--shorter-than", bound)?)),
        (None, Some(bound)) => {
            Ok(Stay::LongerThan(ask.calibration.whole_samples("--longer-than", bound)?))
        }
        (None, None) => {
            Err(ask.missing("a time for a stay", "--longer-than T or --shorter-than T"))
        }
    }
}

fn state(name: StateName) -> LineState {
    match name {
        StateName::High => LineState::High,
        StateName::Low => LineState::Low,
        StateName::Rising => LineState::Rising,
        StateName::Falling => LineState::Falling,
        StateName::Either => LineState::Either,
    }
}
