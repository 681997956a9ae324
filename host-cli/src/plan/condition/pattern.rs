//! `--on pattern`.

use super::{Ask, Description, EventText, Mark, Need, Sources, words};
use crate::args::{StateName, WhenName};
use crate::calibration::Calibration;
use crate::error::Error;
use stillwave::{
    LineState, PATTERN_LINES, PatternConfig, PatternEvent, PatternLine, PatternWhen, Sample, Stay,
};

pub(super) const OPTIONS: &[&str] =
    &["--level", "--lines", "--when", "--shorter-than", "--longer-than"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<PatternConfig<T>, Error> {
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
    Ok(PatternConfig { lines, when })
}

fn when(ask: &Ask<'_>) -> Result<PatternWhen, Error> {
    let name = ask.args.when.unwrap_or(WhenName::Enters);
    if name == WhenName::Stays {
        return Ok(PatternWhen::Stays(ask.stay()?));
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
        WhenName::Stays | WhenName::StaysInside | WhenName::StaysOutside => Err(Error::usage(
            "a pattern has no inside or outside",
            "choose --when enters, leaves or stays",
        )),
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

impl<T: Sample> Description<T> for PatternConfig<T> {
    fn noun(&self) -> &'static str {
        "pattern"
    }

    fn describe(&self, sources: &Sources) -> String {
        let lines = self.lines.iter().filter(|line| line.state != LineState::Ignored);
        let lines: Vec<_> = lines.map(|line| describe_line(line, sources)).collect();
        format!("{} {}", describe_when(self.when, sources.calibration()), lines.join(" and "))
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        let own = |line: &&PatternLine<T>| {
            line.state != LineState::Ignored && line.level.channel == sources.index()
        };
        let line = self.lines.iter().find(own);
        let mut marks = line.map_or_else(Vec::new, |line| words::line_marks(&line.level));
        // A line may stay where it is.
        for mark in &mut marks {
            mark.need = Need::None;
        }
        marks
    }
}

fn describe_line<T: Sample>(line: &PatternLine<T>, sources: &Sources) -> String {
    let state = match line.state {
        LineState::Ignored => "anything",
        LineState::High => "high",
        LineState::Low => "low",
        LineState::Rising => "rising",
        LineState::Falling => "falling",
        LineState::Either => "changing",
    };
    format!("{} {state}", sources.level_in_words(&line.level))
}

fn describe_when(when: PatternWhen, calibration: &Calibration) -> String {
    match when {
        PatternWhen::Enters => "entering".to_owned(),
        PatternWhen::Leaves => "leaving".to_owned(),
        PatternWhen::Stays(Stay::LongerThan(samples)) => {
            format!("staying longer than {} at", calibration.show_time(samples as f64))
        }
        PatternWhen::Stays(Stay::ShorterThan(bound)) => {
            format!("staying shorter than {} at", words::span(bound, calibration))
        }
    }
}

pub(super) fn event_text(what: PatternEvent) -> EventText {
    let change = |what, label| EventText { what: Some(what), ..EventText::new("pattern", label) };
    match what {
        PatternEvent::Entered => change("entered", "pattern began"),
        PatternEvent::Left => change("left", "pattern ended"),
        PatternEvent::Stayed { time } => EventText {
            what: Some("stayed"),
            ..EventText::lasting("pattern", "pattern stayed", time)
        },
    }
}
