//! Quantities with units, as they are typed and as they are shown.
//!
//! The digits of a number and the prefix of its unit are read together as one
//! decimal number, so `2ms` is the double nearest to 0.002 and carries no noise
//! from a multiplication.

use std::fmt;
use std::str::FromStr;

use stillwave::samples_in;
use thiserror::Error;

#[cfg(test)]
mod tests;

/// A text that is not the quantity expected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("\"{read}\" is not {expected}{hint}")]
pub struct QuantityError {
    read: String,
    expected: &'static str,
    hint: &'static str,
}

/// A level or another vertical quantity: `1.65V`, `-50mV`, `2048`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Volts.
    Volts(f64),
    /// Codes of the converter; for floating-point samples the values themselves.
    Counts(f64),
}

/// A stretch of time, never negative: `2ms`, `10µs`, `100sa`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Time {
    /// Seconds.
    Seconds(f64),
    /// Samples.
    Samples(f64),
}

/// A voltage, always with its unit: `3.3V`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Voltage(
    /// Volts.
    pub f64,
);

/// A sample rate above zero: `1MS/s`, `44.1kHz`, `44100`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate(
    /// Samples a second.
    pub f64,
);

/// A frequency above zero: `50Hz`, `1.5kHz`; a bare number is hertz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frequency(
    /// Hertz.
    pub f64,
);

/// A ratio above zero, such as a probe's: `10`, `10:1`, `x10`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio(
    /// The factor.
    pub f64,
);

/// Two quantities in rising order, both included: `1ms..2ms`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span<T> {
    /// The lower bound.
    pub low: T,
    /// The upper bound.
    pub high: T,
}

/// A part in per cent, 0 or more: `20%`, `0.5 %`; always with its sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percent(
    /// The part: 1 for 100 %.
    pub f64,
);

impl FromStr for Percent {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a part such as 20% or 0.5%");
        let number = Number::read(text).ok_or(fault(""))?;
        match number.unit {
            "%" => number.scaled(-2).filter(|part| *part >= 0.0).map(Self).ok_or(fault("")),
            _ => Err(fault(": the % is missing")),
        }
    }
}

impl Time {
    /// The time in samples at `rate`; `None` where seconds are given but no rate is known.
    pub fn in_samples(self, rate: Option<f64>) -> Option<f64> {
        match self {
            Self::Samples(samples) => Some(samples),
            Self::Seconds(seconds) => Some(samples_in(seconds, rate?)),
        }
    }
}

impl FromStr for Level {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a level such as 1.65V, 50mV or 2048 (counts)");
        let number = Number::read(text).ok_or(fault(""))?;
        let level = match number.unit {
            "" | "ct" | "count" | "counts" => number.scaled(0).map(Self::Counts),
            unit => {
                prefix(unit, &["V"]).and_then(|exponent| number.scaled(exponent)).map(Self::Volts)
            }
        };
        level.ok_or(fault(""))
    }
}

impl FromStr for Voltage {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a voltage such as 3.3V or 50mV");
        let number = Number::read(text).ok_or(fault(""))?;
        if number.unit.is_empty() {
            return Err(fault(": the unit is missing"));
        }
        prefix(number.unit, &["V"])
            .and_then(|exponent| number.scaled(exponent))
            .map(Self)
            .ok_or(fault(""))
    }
}

impl FromStr for Time {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a time such as 2ms, 10us or 100sa (samples)");
        let number = Number::read(text).ok_or(fault(""))?;
        if number.unit.is_empty() {
            return Err(fault(": the unit is missing"));
        }
        let samples = prefix(number.unit, &["sa", "Sa", "sample", "samples"]);
        let time = match samples {
            // Thousandths of a sample are a slip for thousands.
            Some(exponent) if exponent >= 0 => number.scaled(exponent).map(Self::Samples),
            Some(_) => None,
            // Months are a slip, for milliseconds or for samples.
            None if prefix(number.unit, &["s"]).is_some_and(|exponent| exponent > 3) => {
                return Err(fault(": for milliseconds write ms, for millions of samples Msa"));
            }
            None => prefix(number.unit, &["s"])
                .and_then(|exponent| number.scaled(exponent))
                .map(Self::Seconds),
        };
        match time {
            Some(Self::Seconds(value) | Self::Samples(value)) if value < 0.0 => {
                Err(fault(": it must not be negative"))
            }
            Some(time) => Ok(time),
            None => Err(fault("")),
        }
    }
}

impl FromStr for Rate {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a sample rate such as 1MS/s, 44.1kHz or 48000");
        let number = Number::read(text).ok_or(fault(""))?;
        let exponent = if number.unit.is_empty() {
            0
        } else {
            prefix(number.unit, &["S/s", "Sa/s", "sa/s", "sps", "SPS", "Hz"]).ok_or(fault(""))?
        };
        if exponent < 0 {
            return Err(fault(": for millions write M"));
        }
        above_zero(number.scaled(exponent), fault).map(Self)
    }
}

impl FromStr for Frequency {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a frequency such as 50Hz or 1.5kHz");
        let number = Number::read(text).ok_or(fault(""))?;
        let exponent = if number.unit.is_empty() {
            0
        } else {
            prefix(number.unit, &["Hz"]).ok_or(fault(""))?
        };
        above_zero(number.scaled(exponent), fault).map(Self)
    }
}

impl FromStr for Ratio {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a ratio such as 10, 10:1 or x10");
        let cross = ['x', 'X', '×'];
        let plain = text.trim();
        let plain =
            plain.strip_prefix(cross).or_else(|| plain.strip_suffix(cross)).unwrap_or(plain);
        let (over, under) = plain.split_once(':').unwrap_or((plain, "1"));
        let part = |part: &str| {
            let number = Number::read(part).filter(|number| number.unit.is_empty());
            above_zero(number.and_then(|number| number.scaled(0)), fault)
        };
        above_zero(Some(part(over)? / part(under)?), fault).map(Self)
    }
}

impl<T> FromStr for Span<T>
where
    T: FromStr<Err = QuantityError> + PartialOrd,
{
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let fault = expecting(text, "a range such as 1ms..2ms");
        let (low, high) = text.split_once("..").ok_or(fault(""))?;
        let (low, high) = (low.parse::<T>()?, high.parse::<T>()?);
        if low > high {
            return Err(fault(": the lower bound comes first"));
        }
        Ok(Self { low, high })
    }
}

/// Bounds in different units have no order until a rate or a scale is known.
impl PartialOrd for Time {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        match (self, other) {
            (Self::Seconds(a), Self::Seconds(b)) | (Self::Samples(a), Self::Samples(b)) => {
                a.partial_cmp(b)
            }
            _ => None,
        }
    }
}

/// Bounds in different units have no order until a rate or a scale is known.
impl PartialOrd for Level {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        match (self, other) {
            (Self::Volts(a), Self::Volts(b)) | (Self::Counts(a), Self::Counts(b)) => {
                a.partial_cmp(b)
            }
            _ => None,
        }
    }
}

/// Makes the error for `text`, given a hint.
fn expecting(text: &str, expected: &'static str) -> impl Fn(&'static str) -> QuantityError + Copy {
    move |hint| QuantityError { read: text.chars().take(40).collect(), expected, hint }
}

fn above_zero(
    value: Option<f64>,
    fault: impl Fn(&'static str) -> QuantityError,
) -> Result<f64, QuantityError> {
    match value {
        Some(value) if value > 0.0 && value.is_finite() => Ok(value),
        Some(_) => Err(fault(": it must be above zero")),
        None => Err(fault("")),
    }
}

/// A decimal number as written, and the unit behind it.
struct Number<'a> {
    digits: String,
    exponent: i32,
    unit: &'a str,
}

impl<'a> Number<'a> {
    fn read(text: &'a str) -> Option<Self> {
        let text = text.trim();
        let (sign, rest) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => ("-", rest),
            None => ("", text.strip_prefix('+').unwrap_or(text)),
        };
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let (digits, rest) = rest.split_at(end);
        if digits.matches('.').count() > 1 || !digits.contains(|c: char| c.is_ascii_digit()) {
            return None;
        }
        let (exponent, unit) = read_exponent(rest)?;
        Some(Self { digits: format!("{sign}{digits}"), exponent, unit: unit.trim_start() })
    }

    /// The value times ten to the `exponent`, rounded once; `None` if it is too large.
    fn scaled(&self, exponent: i32) -> Option<f64> {
        let exponent = self.exponent.saturating_add(exponent);
        let value: f64 = format!("{}e{exponent}", self.digits).parse().ok()?;
        value.is_finite().then_some(value)
    }
}

/// Reads `e-3` off the front, if it is there; a lone `e` belongs to the unit.
fn read_exponent(text: &str) -> Option<(i32, &str)> {
    let Some(after) = text.strip_prefix(['e', 'E']) else {
        return Some((0, text));
    };
    let signed = after.strip_prefix(['-', '+']).unwrap_or(after);
    let length = signed.find(|c: char| !c.is_ascii_digit()).unwrap_or(signed.len());
    if length == 0 {
        return Some((0, text));
    }
    let end = after.len() - signed.len() + length;
    let exponent = after[..end].parse().ok()?;
    Some((exponent, &after[end..]))
}

/// The power of ten of the prefix that `unit` has before one of `names`.
fn prefix(unit: &str, names: &[&str]) -> Option<i32> {
    names.iter().find_map(|name| match unit.strip_suffix(name)? {
        "f" => Some(-15),
        "p" => Some(-12),
        "n" => Some(-9),
        "u" | "\u{b5}" | "\u{3bc}" => Some(-6),
        "m" => Some(-3),
        "" => Some(0),
        "k" | "K" => Some(3),
        "M" => Some(6),
        "G" => Some(9),
        "T" => Some(12),
        _ => None,
    })
}

/// `1 pulse`, `2 pulses`.
pub fn counted(count: u64, noun: &str) -> String {
    let many = |noun: &str| match noun {
        "gap between edges" => "gaps between edges".to_owned(),
        "absence from rest" => "absences from rest".to_owned(),
        "change near a clock edge" => "changes near a clock edge".to_owned(),
        "character or error" => "characters or errors".to_owned(),
        "start, stop or byte" => "starts, stops or bytes".to_owned(),
        "line or field" => "lines or fields".to_owned(),
        noun => format!("{noun}s"),
    };
    if count == 1 { format!("1 {noun}") } else { format!("{count} {}", many(noun)) }
}

/// As [`counted`], of numbers that may have a fraction or a sign.
pub fn number_of(number: f64, noun: &str) -> String {
    format!("{number} {noun}{}", if number.abs() == 1.0 { "" } else { "s" })
}

/// `is` for one, `are` for others.
pub fn be(count: u64) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

/// Writes a value for people, with `digits` significant digits and a prefix: `1.650 V`, `12.3 µs`.
///
/// Values beyond the prefixes (below 10⁻¹⁵ or from 10¹⁵) are written with an exponent.
pub fn format_si(value: f64, unit: &str, digits: usize) -> String {
    SiFormat { value, unit, digits: digits.clamp(1, 17) }.to_string()
}

struct SiFormat<'a> {
    value: f64,
    unit: &'a str,
    digits: usize,
}

impl fmt::Display for SiFormat<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const PREFIXES: [&str; 10] = ["f", "p", "n", "µ", "m", "", "k", "M", "G", "T"];
        let places = self.digits - 1;
        let exact = format!("{:.places$e}", self.value);
        let (number, prefix) = match exact.split_once('e').map(|(m, e)| (m, e.parse::<i32>())) {
            Some((mantissa, Ok(exponent))) => {
                let group = match exponent.div_euclid(3) {
                    // Months are in thousands of seconds too: Ms is a slip for ms where it is read.
                    2..=4 if self.unit == "s" => 1,
                    group => group,
                };
                match usize::try_from(group + 5).ok().and_then(|i| PREFIXES.get(i)) {
                    Some(prefix) => {
                        (shift_point(mantissa, (exponent - 3 * group) as usize), *prefix)
                    }
                    None => (exact, ""),
                }
            }
            // Not finite.
            _ => (exact, ""),
        };
        f.write_str(&number)?;
        if !self.unit.is_empty() || !prefix.is_empty() {
            write!(f, " {prefix}{}", self.unit)?;
        }
        Ok(())
    }
}

/// Moves the decimal point of `d.ddd` to the right by `by`.
fn shift_point(mantissa: &str, by: usize) -> String {
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let fraction = format!("{fraction:0<by$}");
    let (moved, rest) = fraction.split_at(by);
    if rest.is_empty() { format!("{whole}{moved}") } else { format!("{whole}{moved}.{rest}") }
}
