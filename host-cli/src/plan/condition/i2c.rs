//! `--on i2c`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::args::{DirectionName, SaidName, Values};
use crate::error::Error;
use stillwave::{I2cConfig, I2cEvent, I2cWhen, Sample, Span};

pub(super) const OPTIONS: &[&str] =
    &["--level", "--data", "--what", "--value", "--address", "--direction", "--spikes"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<I2cConfig<T>, Error> {
    let data = ask.args.several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    let clock = ask.level()?;
    let spikes = ask.args.serial.spikes.map(|time| ask.span("--spikes", time)).transpose()?;
    let (data, when) = (ask.other("--data", data)?, when(ask)?);
    Ok(I2cConfig { clock, data, when, spikes: spikes.unwrap_or(Span::ZERO) })
}

fn when(ask: &Ask<'_>) -> Result<I2cWhen, Error> {
    let serial = &ask.args.serial;
    let what = match serial.what {
        Some(what) => what,
        None if serial.address.is_some() => SaidName::Address,
        None if serial.value.is_some() => SaidName::Data,
        None => SaidName::Any,
    };
    let (of_address, of_value) = (what == SaidName::Address, what == SaidName::Data);
    ask.only(serial.address.is_some(), of_address, "--address", "--what address")?;
    ask.only(serial.direction.is_some(), of_address, "--direction", "--what address")?;
    ask.only(serial.value.is_some(), of_value, "--value", "--what data")?;
    Ok(match what {
        SaidName::Any => I2cWhen::Any,
        SaidName::Start => I2cWhen::Start,
        SaidName::Stop => I2cWhen::Stop,
        SaidName::Address => {
            let address =
                serial.address.ok_or_else(|| ask.missing("the address", "--address 0x50"))?;
            let address = address.one().and_then(|address| u8::try_from(address).ok());
            let address = address.filter(|&address| address < 0x80).ok_or_else(|| {
                Error::usage("--address is not a 7-bit address", "give one from 0 to 0x7F")
            })?;
            let read = match serial.direction {
                Some(DirectionName::Read) => Some(true),
                Some(DirectionName::Write) => Some(false),
                Some(DirectionName::Both) | None => None,
            };
            I2cWhen::Address { address, read }
        }
        SaidName::Data => {
            let Values { first, last } = serial.value.unwrap_or(Values { first: 0, last: 255 });
            let byte = |value| u8::try_from(value).unwrap_or(u8::MAX);
            if first > 255 {
                return Err(Error::usage("--value is not a byte", "give one from 0 to 0xFF"));
            }
            I2cWhen::Data(byte(first), byte(last))
        }
        SaidName::MissingAcknowledge => I2cWhen::MissingAcknowledge,
        SaidName::Character | SaidName::FramingError | SaidName::ParityError | SaidName::Break => {
            let ways = "any, start, stop, address, data or missing-acknowledge";
            return Err(Error::usage("nothing of that kind is said on an i2c bus", {
                format!("choose --what {ways}")
            }));
        }
    })
}

impl<T: Sample> Description<T> for I2cConfig<T> {
    fn noun(&self) -> &'static str {
        "start, stop or byte"
    }

    fn describe(&self, sources: &Sources) -> String {
        let spikes = match self.spikes {
            Span::ZERO => String::new(),
            longest => {
                format!(", without spikes up to {}", words::span(longest, sources.calibration()))
            }
        };
        let [clock, data] = [self.clock, self.data].map(|line| sources.level_in_words(&line));
        let when = describe_when(self.when);
        format!("{when} on an I2C bus, clock {clock}, data {data}{spikes}")
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::line_marks(&self.clock)
    }
}

fn describe_when(when: I2cWhen) -> String {
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

pub(super) fn event_text(what: I2cEvent) -> EventText {
    const COLUMNS: &[&str] = &["address", "read", "value", "acknowledged"];
    let said = |what, label: String| EventText {
        what: Some(what),
        columns: COLUMNS,
        ..EventText::new("i2c", label)
    };
    let answer = |acknowledged| if acknowledged { "" } else { " NACK" };
    match what {
        I2cEvent::Start => said("start", "I2C start".to_owned()),
        I2cEvent::Stop => said("stop", "I2C stop".to_owned()),
        I2cEvent::Address { address, read, acknowledged } => {
            let direction = if read { "read" } else { "write" };
            let label = format!("I2C {direction} 0x{address:02X}{}", answer(acknowledged));
            EventText {
                address: Some(address),
                read: Some(read),
                acknowledged: Some(acknowledged),
                ..said("address", label)
            }
        }
        I2cEvent::Data { value, acknowledged } => EventText {
            value: Some(value.into()),
            acknowledged: Some(acknowledged),
            ..said("data", format!("I2C 0x{value:02X}{}", answer(acknowledged)))
        },
    }
}
