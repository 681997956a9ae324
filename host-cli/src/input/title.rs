//! Titles of channels, which may end with a unit.

use crate::quantity::{Time, Voltage};

/// One of a unit of times, in seconds.
pub(super) fn time_of_one(unit: &str) -> Option<f64> {
    match one(unit)?.parse() {
        Ok(Time::Seconds(seconds)) => Some(seconds),
        _ => None,
    }
}

/// One of a unit of samples, in volts.
pub(super) fn volts_of(unit: &str) -> Option<f64> {
    one(unit)?.parse().ok().map(|Voltage(volts)| volts)
}

/// One of a unit, as text. What has digits, as in `rail_5V`, is none.
fn one(unit: &str) -> Option<String> {
    (!unit.contains(|c: char| c.is_ascii_digit())).then(|| format!("1{unit}"))
}

/// Whether a unit says that values are a converter's.
pub(super) fn is_counts(unit: &str) -> bool {
    ["counts", "count", "ct"].iter().any(|word| unit.eq_ignore_ascii_case(word))
}

/// A channel's name without the unit at its end, if that is one of samples.
pub(super) fn without_unit(title: &str) -> &str {
    let (name, unit) = split_unit(title);
    let is_unit = is_counts(unit) || volts_of(unit).is_some();
    if is_unit && !name.is_empty() { name } else { title }
}

/// Parts `ch1 (mV)`, `ch1 [mV]`, `ch1_mV`, `ch1/mV` and `ch1 mV` into name and unit.
pub(super) fn split_unit(title: &str) -> (&str, &str) {
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, unit)) = title.strip_suffix(close).and_then(|t| t.rsplit_once(open)) {
            return (name.trim(), unit.trim());
        }
    }
    if let Some((name, unit)) = title.rsplit_once(['_', '/', ' '])
        && (volts_of(unit).is_some() || is_counts(unit) || time_of_one(unit).is_some())
    {
        return (name.trim(), unit);
    }
    (title, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units() {
        assert_eq!(split_unit("ch1 (mV)"), ("ch1", "mV"));
        assert_eq!(split_unit("ch1[V]"), ("ch1", "V"));
        assert_eq!(split_unit("time_ms"), ("time", "ms"));
        assert_eq!(split_unit("my_name"), ("my_name", ""));
        assert_eq!(split_unit("time of day"), ("time of day", ""));
        assert_eq!(split_unit("rail_5V"), ("rail_5V", ""));
        assert_eq!(split_unit("mains_Counts"), ("mains", "Counts"));
        assert_eq!(
            ["ch (mV)", "V(in)", "a_ct", "(V)", "t (s)", "a[V]"].map(without_unit),
            ["ch", "V(in)", "a", "(V)", "t (s)", "a"]
        );
    }
}
