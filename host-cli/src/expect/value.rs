//! Quantities of an expectation, as they are written in its file.

use std::str::FromStr;

use crate::calibration::Calibration;
use crate::measured::Unit;
use crate::quantity::{self, Frequency, Level, Time};

/// A problem and its remedy.
pub(super) type Fault = (String, String);

/// The value that a text says for a quantity of that unit.
pub(super) fn value(text: &str, unit: Unit, calibration: &Calibration) -> Result<f64, Fault> {
    match unit {
        Unit::Level => level(text, calibration, stillwave::Scale::volts),
        Unit::Difference => {
            level(text, calibration, |scale, counts| counts * scale.volts_per_count.abs())
        }
        Unit::Time => time(text, calibration),
        Unit::Frequency => {
            let Frequency(hertz) = parsed(text)?;
            match calibration.rate {
                Some(_) => Ok(hertz),
                None => Err(no_rate("hertz")),
            }
        }
        Unit::Fraction => match text.trim().strip_suffix('%') {
            Some(percent) => Ok(number(percent, "a part such as 48 % or 0.48")? / 100.0),
            None => number(text, "a part such as 48 % or 0.48"),
        },
        Unit::Count => number(text, "a number such as 12"),
        Unit::Ratio => number(text, "a number such as 1.41"),
        Unit::Decibels => {
            let plain = text.trim();
            number(plain.strip_suffix("dB").unwrap_or(plain), "decibels such as 60 dB")
        }
        Unit::Slew => slew(text, calibration),
    }
}

/// How far off a value may be: in its own unit, or in per cent of it.
pub(super) fn tolerance(
    text: &str,
    nominal: f64,
    unit: Unit,
    calibration: &Calibration,
) -> Result<f64, Fault> {
    let off = match text.trim().strip_suffix('%') {
        // A part is in per cent itself.
        Some(percent) if unit != Unit::Fraction => {
            number(percent, "a tolerance such as 0.5 %")? / 100.0 * nominal.abs()
        }
        _ => value(text, if unit == Unit::Level { Unit::Difference } else { unit }, calibration)?,
    };
    if off < 0.0 {
        return Err((format!("the tolerance {text} is below zero"), "give 0 or more".into()));
    }
    Ok(off)
}

/// A time from the trigger, which may be negative, in samples.
pub(super) fn samples(text: &str, calibration: &Calibration) -> Result<f64, Fault> {
    let plain = text.trim();
    let (sign, size) = match plain.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, plain),
    };
    let time: Time = parsed(size)?;
    time.in_samples(calibration.rate)
        .map(|samples| sign * samples)
        .ok_or_else(|| no_rate("seconds"))
}

fn level(
    text: &str,
    calibration: &Calibration,
    volts: impl Fn(stillwave::Scale, f64) -> f64,
) -> Result<f64, Fault> {
    match (parsed(text)?, calibration.scale) {
        (Level::Volts(volts), Some(_)) => Ok(volts),
        (Level::Counts(counts), Some(scale)) => Ok(volts(scale, counts)),
        (Level::Counts(counts), None) => Ok(counts),
        (Level::Volts(_), None) => Err((
            format!("\"{text}\" is in volts, but how many volts a count is is not known"),
            "add --bits and --vref to the command, or give counts here".to_owned(),
        )),
    }
}

fn time(text: &str, calibration: &Calibration) -> Result<f64, Fault> {
    match (parsed(text)?, calibration.rate) {
        (Time::Seconds(seconds), Some(_)) => Ok(seconds),
        (Time::Samples(samples), Some(rate)) => Ok(samples / rate),
        (Time::Samples(samples), None) => Ok(samples),
        (Time::Seconds(_), None) => Err(no_rate("seconds")),
    }
}

/// `2.5 V/us`: a level over a time.
fn slew(text: &str, calibration: &Calibration) -> Result<f64, Fault> {
    let fault = || {
        let problem = format!("\"{text}\" is not a slew rate such as 2.5 V/us");
        (problem, "correct it".to_owned())
    };
    let (rise, run) = text.split_once('/').ok_or_else(fault)?;
    let rise = value(rise, Unit::Difference, calibration)?;
    let run = time(&format!("1 {}", run.trim()), calibration)?;
    if run > 0.0 { Ok(rise / run) } else { Err(fault()) }
}

fn number(text: &str, what: &str) -> Result<f64, Fault> {
    let value = text.trim().replace('\u{2212}', "-").parse::<f64>().ok();
    value
        .filter(|value| value.is_finite())
        .ok_or_else(|| (format!("\"{}\" is not {what}", text.trim()), "correct it".to_owned()))
}

fn parsed<Q: FromStr<Err = quantity::QuantityError>>(text: &str) -> Result<Q, Fault> {
    text.parse()
        .map_err(|error: quantity::QuantityError| (error.to_string(), "correct it".to_owned()))
}

fn no_rate(unit: &str) -> Fault {
    (
        format!("this is in {unit}, but the recording has no sample rate"),
        "add --rate to the command, or give samples such as 100sa".to_owned(),
    )
}
