//! Values with their units, and words in short and long form. Standards are cited from memory.

use heapless::String;
use microscpi::{Error, Value};

/// One end of what may be set, or what `*RST` sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Limit {
    Minimum,
    Maximum,
    Default,
}

impl Limit {
    pub(crate) fn named(word: &str) -> Option<Self> {
        let found = choose(word, [("MIN", "MINIMUM"), ("MAX", "MAXIMUM"), ("DEF", "DEFAULT")])?;
        [Self::Minimum, Self::Maximum, Self::Default].get(found).copied()
    }
}

/// Which of several words it is, in its short or its long form and in letters of any case.
pub(crate) fn choose<const N: usize>(word: &str, words: [(&str, &str); N]) -> Option<usize> {
    words.iter().position(|(short, long)| {
        word.eq_ignore_ascii_case(short) || word.eq_ignore_ascii_case(long)
    })
}

/// What a value is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unit {
    Volt,
    Second,
    /// A plain number.
    None,
}

/// What may be set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Range {
    pub(crate) unit: Unit,
    pub(crate) least: f64,
    pub(crate) most: f64,
    pub(crate) default: f64,
}

impl Range {
    pub(crate) fn end(&self, limit: Limit) -> f64 {
        match limit {
            Limit::Minimum => self.least,
            Limit::Maximum => self.most,
            Limit::Default => self.default,
        }
    }
}

/// A number with or without a suffix, or the name of a limit (SCPI-1999, volume 1, 7.2.1).
pub(crate) enum Quantity {
    Number { value: f64, suffix: String<12> },
    Limit(Limit),
}

impl Quantity {
    /// As a number in its base unit, within a range.
    pub(crate) fn within(&self, range: &Range) -> Result<f64, Error> {
        let (value, suffix) = match self {
            Self::Limit(limit) => return Ok(range.end(*limit)),
            Self::Number { value, suffix } => (*value, suffix.as_str()),
        };
        let value = value * factor(suffix, range.unit)?;
        // Also what is no number at all.
        if value >= range.least && value <= range.most {
            Ok(value)
        } else {
            Err(Error::DataOutOfRange)
        }
    }
}

/// What stands before a unit (IEEE 488.2, 7.7.3): M is a thousandth, and MA a million.
const MULTIPLIERS: [(&str, f64); 8] = [
    ("", 1.0),
    ("G", 1e9),
    ("MA", 1e6),
    ("K", 1e3),
    ("M", 1e-3),
    ("U", 1e-6),
    ("N", 1e-9),
    ("P", 1e-12),
];

/// What a suffix multiplies by (IEEE 488.2, 7.7.3).
fn factor(suffix: &str, unit: Unit) -> Result<f64, Error> {
    if suffix.is_empty() {
        return Ok(1.0);
    }
    let unit = match unit {
        Unit::Volt => 'V',
        Unit::Second => 'S',
        Unit::None => return Err(Error::SuffixNotAllowed),
    };
    let multiplier = suffix.strip_suffix(|last: char| last.eq_ignore_ascii_case(&unit));
    let multiplier = multiplier.ok_or(Error::InvalidSuffix)?;
    let found = MULTIPLIERS.iter().find(|(name, _)| name.eq_ignore_ascii_case(multiplier));
    found.map(|&(_, factor)| factor).ok_or(Error::InvalidSuffix)
}

/// Where a number ends: sign, digits, a point and digits, an exponent.
pub(crate) fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let at = |index: usize| bytes.get(index).copied().unwrap_or(0);
    let digits = |mut index: usize| {
        while at(index).is_ascii_digit() {
            index += 1;
        }
        index
    };
    let signed = |index: usize| index + usize::from(matches!(at(index), b'+' | b'-'));
    let mut end = digits(signed(0));
    if at(end) == b'.' {
        end = digits(end + 1);
    }
    if matches!(at(end), b'e' | b'E') {
        let first = signed(end + 1);
        let last = digits(first);
        if last > first {
            end = last;
        }
    }
    end
}

impl TryFrom<&Value<'_>> for Quantity {
    type Error = Error;

    fn try_from(value: &Value<'_>) -> Result<Self, Error> {
        match value {
            // One with a suffix: see `unit.rs`.
            Value::Decimal(text) | Value::String(text) => {
                let (number, suffix) =
                    text.split_at_checked(number_end(text)).unwrap_or((text, ""));
                let value = number.parse().or(Err(Error::NumericDataError))?;
                let suffix = String::try_from(suffix.trim()).or(Err(Error::SuffixTooLong))?;
                Ok(Self::Number { value, suffix })
            }
            Value::Characters(word) => {
                Limit::named(word).map(Self::Limit).ok_or(Error::IllegalParameterValue)
            }
            Value::Hexadecimal(text) => whole(text, 16),
            Value::Octal(text) => whole(text, 8),
            Value::Binary(text) => whole(text, 2),
            Value::Arbitrary(_) => Err(Error::BlockDataNotAllowed),
        }
    }
}

fn whole(text: &str, radix: u32) -> Result<Quantity, Error> {
    // The parser leaves the radix' letter in place.
    let digits = text.trim_start_matches(|c: char| !c.is_digit(radix));
    let value = u32::from_str_radix(digits, radix).or(Err(Error::DataOutOfRange))?;
    Ok(Quantity::Number { value: f64::from(value), suffix: String::new() })
}

/// The word among a value's names; another kind of value is none.
fn word<const N: usize>(value: &Value<'_>, words: [(&str, &str); N]) -> Result<usize, Error> {
    match value {
        Value::Characters(found) => choose(found, words).ok_or(Error::IllegalParameterValue),
        Value::Arbitrary(_) => Err(Error::BlockDataNotAllowed),
        _ => Err(Error::DataTypeError),
    }
}

/// On or off.
pub(crate) struct OnOff(pub(crate) bool);

impl TryFrom<&Value<'_>> for OnOff {
    type Error = Error;

    fn try_from(value: &Value<'_>) -> Result<Self, Error> {
        match value {
            Value::Characters(_) => Ok(Self(word(value, [("OFF", "OFF"), ("ON", "ON")])? == 1)),
            // Rounded, and on where it is not 0 (SCPI-1999, volume 1, 7.3).
            Value::Decimal(text) => {
                let number: f64 = text.parse().or(Err(Error::NumericDataError))?;
                Ok(Self(libm::rint(number) != 0.0))
            }
            Value::String(_) => Err(Error::SuffixNotAllowed),
            _ => Err(Error::DataTypeError),
        }
    }
}

/// A word of several, each in short and long form.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $short:literal, $long:literal;)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(crate) enum $name { $($variant,)* }

        impl $name {
            pub(crate) fn short(self) -> &'static str {
                match self { $(Self::$variant => $short,)* }
            }
        }

        impl TryFrom<&Value<'_>> for $name {
            type Error = Error;

            fn try_from(value: &Value<'_>) -> Result<Self, Error> {
                let found = word(value, [$(($short, $long)),*])?;
                [$(Self::$variant),*].get(found).copied().ok_or(Error::IllegalParameterValue)
            }
        }
    };
}

words! {
    /// Which edges count.
    SlopeWord { Positive = "POS", "POSITIVE"; Negative = "NEG", "NEGATIVE"; Either = "EITH", "EITHER"; }
}
words! {
    /// What starts a record.
    SourceWord { Internal = "INT", "INTERNAL"; Immediate = "IMM", "IMMEDIATE"; }
}
words! {
    /// How a record is sent.
    DataWord { Ascii = "ASC", "ASCII"; Unsigned = "UINT", "UINTEGER"; Real = "REAL", "REAL"; }
}
words! {
    /// Which byte of a number comes first: the highest, or the lowest.
    OrderWord { Normal = "NORM", "NORMAL"; Swapped = "SWAP", "SWAPPED"; }
}

#[cfg(test)]
mod tests {
    use super::{Quantity, Range, Unit, number_end};
    use microscpi::{Error, Value};

    #[test]
    fn suffixes_multiply() {
        let range = Range { unit: Unit::Volt, least: -1e9, most: 1e9, default: 7.0 };
        let read = |text| Quantity::try_from(&Value::String(text)).and_then(|q| q.within(&range));
        for (text, wanted) in
            [("1.5 V", 1.5), ("20mv", 0.02), ("-3 kV", -3e3), ("2E1 uV", 2e-5), ("1 MAV", 1e6)]
        {
            let found = read(text).unwrap();
            assert!((found - wanted).abs() <= 1e-12 * f64::abs(wanted), "{text}: {found}");
        }
        assert_eq!(read("1 S"), Err(Error::InvalidSuffix));
        assert_eq!(read("1 QV"), Err(Error::InvalidSuffix));
        assert_eq!(read("1e400 V"), Err(Error::DataOutOfRange));
        assert_eq!(read("1 VVVVVVVVVVVVVVV"), Err(Error::SuffixTooLong));
        assert_eq!(read("+ V"), Err(Error::NumericDataError));
    }

    #[test]
    fn numbers_end_where_they_should() {
        for (text, end) in
            [("1.5mV", 3), ("1e3V", 3), ("1eV", 1), ("-.5E-3 s", 6), ("V", 0), ("+", 1), ("", 0)]
        {
            assert_eq!(number_end(text), end, "{text}");
        }
    }
}
