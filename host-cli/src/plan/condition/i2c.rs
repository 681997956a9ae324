//! `--on i2c`.

use stillwave::{Composition, I2cWhen, Sample, Span};

use super::super::Ask;
use crate::args::{DirectionName, SaidName, Values};
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let data = ask.args.several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    let clock = ask.level()?;
    let spikes = ask.args.serial.spikes.map(|time| ask.span("--spikes", time)).transpose()?;
    let (data, when) = (ask.other("--data", data)?, when(ask)?);
    Ok(Composition::I2c { clock, data, when, spikes: spikes.unwrap_or(Span::ZERO) })
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
