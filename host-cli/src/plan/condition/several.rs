//! Conditions on several channels and of serial lines, in words, and their levels for a picture.

use stillwave::{
    Composition, CountSince, EdgeSlope, I2cWhen, Level, LineState, PatternLine, PatternWhen,
    Sample, Setup, Side, Span, Stay, UartWhen, Wait,
};

use super::super::{Mark, Need, Sources, words};
use super::{describe_single, single_marks, video};
use crate::calibration::Calibration;

/// The condition in words, with every number as it is used.
pub(in super::super) fn describe<T: Sample>(
    composition: &Composition<T>,
    sources: &Sources,
    calibration: &Calibration,
) -> String {
    let of = |setup: &Setup<T>| setup_in_words(setup, sources, calibration);
    let line = |level: &Level<T>| level_in_words(level, sources, calibration);
    let time = |samples: u64| calibration.show_time(samples as f64);
    match composition {
        Composition::Single(setup) => describe_single(setup, calibration),
        Composition::Delay { from, to, time } => {
            let time = words::comparison(*time, calibration);
            format!("{time} from a {} to a {}", of(from), of(to))
        }
        Composition::Count { of: event, events, since } => {
            let since = match since {
                CountSince::Start => "the start".to_owned(),
                CountSince::Quiet(quiet) => format!("{} without one", time(*quiet)),
                CountSince::Other(other) => format!("a {}", of(other)),
            };
            format!("event {events} since {since}: a {}", of(event))
        }
        Composition::Sequence { first, then, wait, reset } => {
            let reset = reset.as_ref().map(|reset| format!(", with no {} between", of(reset)));
            let (first, then) = (of(first), of(then));
            let reset = reset.unwrap_or_default();
            format!("{then}, after a {first}{}{reset}", waiting(*wait, calibration))
        }
        Composition::Pattern { lines, when } => {
            let lines = lines.iter().filter(|line| line.state != LineState::Ignored);
            let lines: Vec<_> =
                lines.map(|line| pattern_line(line, sources, calibration)).collect();
            format!("{} {}", pattern_when(*when, calibration), lines.join(" and "))
        }
        Composition::SetupHold { clock, data, setup, hold } => {
            let [setup, hold] = [*setup, *hold].map(|span| words::span(span, calibration));
            format!("{} less than {setup} before or {hold} after a {}", of(data), of(clock))
        }
        Composition::Qualified { of: event, gate, side } => {
            format!("{}, while {} is {}", of(event), line(gate), side_in_words(*side))
        }
        Composition::Uart { level, format, when } => {
            let bit = words::span(format.bit, calibration);
            format!("{} on {}, {bit} a bit", uart_when(*when, calibration), line(level))
        }
        Composition::I2c { clock, data, when, spikes } => {
            let spikes = match *spikes {
                Span::ZERO => String::new(),
                longest => format!(", without spikes up to {}", words::span(longest, calibration)),
            };
            let (when, clock, data) = (i2c_when(*when), line(clock), line(data));
            format!("{when} on an I2C bus, clock {clock}, data {data}{spikes}")
        }
        Composition::Spi { clock, data, select, format } => {
            let what = match format.mask {
                0 => format!("any word of {} bits", format.bits),
                mask => format!("word 0x{:X} in the bits 0x{mask:X}", format.word & mask),
            };
            let side = side_in_words(format.active);
            let [clock, data, select] = [clock, data, select].map(line);
            format!("{what} on SPI, clock {clock}, data {data}, while {select} is {side}")
        }
        Composition::Video { level, format, when } => {
            format!("{} on {}", video::describe(*when, format.standard), line(level))
        }
        _ => "event".to_owned(),
    }
}

/// The levels on the trigger's channel, for a picture.
pub(in super::super) fn marks<T: Sample>(
    composition: &Composition<T>,
    sources: &Sources,
) -> Vec<Mark> {
    let side = |level: &Level<T>| words::level_marks(level, EdgeSlope::Rising);
    match composition {
        Composition::Single(setup)
        | Composition::Delay { from: setup, .. }
        | Composition::Count { of: setup, .. }
        | Composition::Sequence { first: setup, .. }
        | Composition::SetupHold { clock: setup, .. }
        | Composition::Qualified { of: setup, .. } => single_marks(setup),
        Composition::Uart { level, .. }
        | Composition::I2c { clock: level, .. }
        | Composition::Spi { clock: level, .. }
        | Composition::Video { level, .. } => side(level),
        Composition::Pattern { lines, .. } => {
            let own = |line: &&PatternLine<T>| {
                line.state != LineState::Ignored && line.level.channel == sources.index()
            };
            let mut marks = lines.iter().find(own).map_or_else(Vec::new, |line| side(&line.level));
            // A line may stay where it is.
            for mark in &mut marks {
                mark.need = Need::None;
            }
            marks
        }
        _ => Vec::new(),
    }
}

/// A condition, with its channel where that is not the trigger's.
fn setup_in_words<T: Sample>(
    setup: &Setup<T>,
    sources: &Sources,
    calibration: &Calibration,
) -> String {
    match setup {
        Setup::Edge { slope, level } if level.channel != sources.index() => {
            let source = sources.at(level.channel);
            let calibration = source.map_or(calibration, |source| &source.calibration);
            let channel = source.map_or(0, |source| source.channel) + 1;
            let (slope, level) = (words::slope(*slope), words::level(level, calibration));
            format!("{slope} edge on channel {channel} {level}")
        }
        _ => describe_single(setup, calibration),
    }
}

/// A channel and its level.
fn level_in_words<T: Sample>(
    level: &Level<T>,
    sources: &Sources,
    calibration: &Calibration,
) -> String {
    let source = sources.at(level.channel);
    let calibration = source.map_or(calibration, |source| &source.calibration);
    let channel = source.map_or(0, |source| source.channel) + 1;
    let shown = calibration.show_level(T::wide_to_f64(level.level));
    format!("channel {channel} (level {shown})")
}

fn side_in_words(side: Side) -> &'static str {
    match side {
        Side::High => "high",
        Side::Low => "low",
    }
}

fn waiting(Wait { delay, events, timeout }: Wait, calibration: &Calibration) -> String {
    let time = |samples: u64| calibration.show_time(samples as f64);
    let delay = if delay > 0 { format!(" and {}", time(delay)) } else { String::new() };
    let events = if events > 1 { format!(", number {events}") } else { String::new() };
    let timeout = timeout.map(|timeout| format!(", within {}", time(timeout)));
    format!("{delay}{events}{}", timeout.unwrap_or_default())
}

fn pattern_line<T: Sample>(
    line: &PatternLine<T>,
    sources: &Sources,
    calibration: &Calibration,
) -> String {
    let state = match line.state {
        LineState::Ignored => "anything",
        LineState::High => "high",
        LineState::Low => "low",
        LineState::Rising => "rising",
        LineState::Falling => "falling",
        LineState::Either => "changing",
    };
    format!("{} {state}", level_in_words(&line.level, sources, calibration))
}

fn pattern_when(when: PatternWhen, calibration: &Calibration) -> String {
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

fn uart_when(when: UartWhen, calibration: &Calibration) -> String {
    match when {
        UartWhen::Any => "any character or error".to_owned(),
        UartWhen::Start => "start of a character".to_owned(),
        UartWhen::Character(0, u16::MAX) => "any character".to_owned(),
        UartWhen::Character(from, to) if from == to => format!("character 0x{from:02X}"),
        UartWhen::Character(from, to) => format!("character from 0x{from:02X} to 0x{to:02X}"),
        UartWhen::FramingError => "framing error".to_owned(),
        UartWhen::ParityError => "parity error".to_owned(),
        UartWhen::Break(time) => format!("break of {}", words::span(time, calibration)),
    }
}

fn i2c_when(when: I2cWhen) -> String {
    match when {
        I2cWhen::Any => "anything".to_owned(),
        I2cWhen::Start => "start".to_owned(),
        I2cWhen::Stop => "stop".to_owned(),
        I2cWhen::Address { address, read } => {
            let direction = match read {
                Some(true) => " for reading",
                Some(false) => " for writing",
                None => "",
            };
            format!("address 0x{address:02X}{direction}")
        }
        I2cWhen::Data(0, u8::MAX) => "any data byte".to_owned(),
        I2cWhen::Data(from, to) if from == to => format!("data byte 0x{from:02X}"),
        I2cWhen::Data(from, to) => format!("data byte from 0x{from:02X} to 0x{to:02X}"),
        I2cWhen::MissingAcknowledge => "byte without acknowledgement".to_owned(),
    }
}
