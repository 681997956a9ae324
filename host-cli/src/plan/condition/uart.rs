//! `--on uart`.

use super::{Ask, Description, EventText, Line, Mark, Sources, words};
use crate::args::{ParityName, SaidName, Values};
use crate::calibration::Calibration;
use crate::error::Error;
use stillwave::{Parity, Sample, Side, UartConfig, UartEvent, UartFormat, UartWhen};

pub(super) const OPTIONS: &[&str] = &[
    "--while",
    "--level",
    "--baud",
    "--data-bits",
    "--parity",
    "--idle",
    "--what",
    "--value",
    "--longer-than",
];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<UartConfig<T>, Error> {
    let format = format(ask)?;
    let what = ask.args.serial.what;
    let characters = ask.args.serial.value.is_some() && what.is_none();
    let what = if characters { SaidName::Character } else { what.unwrap_or(SaidName::Any) };
    let (of_value, of_time) = (what == SaidName::Character, what == SaidName::Break);
    ask.only(ask.args.serial.value.is_some(), of_value, "--value", "--what character")?;
    ask.only(ask.args.longer_than.is_some(), of_time, "--longer-than", "--what break")?;
    let when = match what {
        SaidName::Any => UartWhen::Any,
        SaidName::Start => UartWhen::Start,
        SaidName::Character => {
            let all = Values { first: 0, last: u16::MAX.into() };
            let Values { first, last } = ask.args.serial.value.unwrap_or(all);
            let character = |value| u16::try_from(value).unwrap_or(u16::MAX);
            UartWhen::Character(character(first), character(last))
        }
        SaidName::FramingError => UartWhen::FramingError,
        SaidName::ParityError => UartWhen::ParityError,
        SaidName::Break => {
            let time = ask.args.longer_than;
            let time = time.ok_or_else(|| ask.missing("a time for a break", "--longer-than T"))?;
            UartWhen::Break(ask.span("--longer-than", time)?)
        }
        SaidName::Stop | SaidName::Address | SaidName::Data | SaidName::MissingAcknowledge => {
            let ways = "any, start, character, framing-error, parity-error or break";
            return Err(Error::usage("nothing of that kind is said on a uart", {
                format!("choose --what {ways}")
            }));
        }
    };
    Ok(UartConfig { level: ask.level()?, format, when })
}

fn format(ask: &Ask<'_>) -> Result<UartFormat, Error> {
    let serial = &ask.args.serial;
    let baud = serial.baud.ok_or_else(|| ask.missing("--baud", "--baud 9600"))?;
    let rate = ask.calibration.rate.ok_or_else(|| {
        Error::usage("--baud needs to know the sample rate, and the recording has none", {
            "add --rate"
        })
    })?;
    if baud.is_nan() || baud <= 0.0 {
        return Err(Error::usage(
            format!("--baud {baud} is not a number above zero"),
            "give the bits a second of the line, such as --baud 9600",
        ));
    }
    if rate / baud < 4.0 {
        return Err(Error::usage(
            format!("--baud {baud} is {:.3} samples a bit", rate / baud),
            "give the bits a second of the line; there must be 4 samples a bit or more",
        ));
    }
    let format = UartFormat {
        data_bits: serial.data_bits.unwrap_or(8),
        parity: match serial.parity.unwrap_or(ParityName::None) {
            ParityName::None => Parity::None,
            ParityName::Even => Parity::Even,
            ParityName::Odd => Parity::Odd,
        },
        idle: serial.idle.map_or(Side::High, Ask::side),
        ..UartFormat::new(baud, rate)?
    };
    Ok(format.validated()?)
}

impl<T: Sample> Description<T> for UartConfig<T> {
    fn noun(&self) -> &'static str {
        match self.when {
            UartWhen::Break(_) => "absence from rest",
            UartWhen::Any
            | UartWhen::Start
            | UartWhen::Character(..)
            | UartWhen::FramingError
            | UartWhen::ParityError => "character or error",
        }
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let bit = words::span(self.format.bit, calibration);
        let (when, line) =
            (describe_when(self.when, calibration), sources.level_in_words(&self.level));
        format!("{when} on {line}, {bit} a bit")
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::line_marks(&self.level)
    }

    fn line(&self) -> Option<Line<T>> {
        let UartFormat { idle, bit, .. } = self.format;
        // Breaks have no bits.
        let has_bits = !matches!(self.when, UartWhen::Break(_));
        has_bits.then_some(Line { level: self.level, idle, bit })
    }
}

fn describe_when(when: UartWhen, calibration: &Calibration) -> String {
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

pub(super) fn event_text(what: UartEvent) -> EventText {
    const COLUMNS: &[&str] = &["value"];
    let said = |what, value: Option<u16>, label: String| EventText {
        what: Some(what),
        value: value.map(u32::from),
        columns: COLUMNS,
        ..EventText::new("uart", label)
    };
    match what {
        UartEvent::Start => said("start", None, "UART start".to_owned()),
        UartEvent::Character { value } => {
            said("character", Some(value), format!("UART 0x{value:02X}"))
        }
        UartEvent::FramingError { value } => {
            said("framing-error", Some(value), format!("framing error 0x{value:02X}"))
        }
        UartEvent::ParityError { value } => {
            said("parity-error", Some(value), format!("parity error 0x{value:02X}"))
        }
        UartEvent::Break { time } => {
            EventText { what: Some("break"), ..EventText::lasting("uart", "UART break", time) }
        }
    }
}
