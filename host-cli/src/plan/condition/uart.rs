//! `--on uart`.

use stillwave::{Composition, Parity, Sample, Side, UartFormat, UartWhen};

use super::super::Ask;
use crate::args::{ParityName, SaidName, Values};
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
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
    Ok(Composition::Uart { level: ask.level()?, format, when })
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
