//! Axes: where their ticks are, and what is written at them.

use super::Unit;
use crate::quantity::format_si;

/// What an axis measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    /// Time, from samples to seconds.
    Seconds,
    Samples,
    Value(Unit),
}

/// A mark on an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    /// Where, in the axis's own unit without a prefix.
    pub(super) at: f64,
    pub(super) label: String,
}

/// An axis with its ticks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Axis {
    pub(super) ticks: Vec<Tick>,
    /// What it measures, with the unit of the labels: `voltage (mV)`.
    pub(super) title: String,
}

impl Axis {
    /// An axis from `low` to `high` with `at_most` ticks, at least two of them where possible, at
    /// steps of 1, 2 or 5 times a power of ten.
    pub(super) fn new(low: f64, high: f64, quantity: Quantity, at_most: usize) -> Self {
        let (name, unit) = match quantity {
            Quantity::Seconds => ("time from the trigger", "s"),
            Quantity::Samples => ("time from the trigger", "samples"),
            Quantity::Value(Unit::Volts) => ("voltage", "V"),
            Quantity::Value(Unit::Counts) => ("value", "counts"),
            Quantity::Value(Unit::Values) => ("value", ""),
        };
        let has_prefix = matches!(quantity, Quantity::Seconds | Quantity::Value(Unit::Volts));
        let is_whole = matches!(quantity, Quantity::Samples | Quantity::Value(Unit::Counts));
        Self::named(name, unit, (has_prefix, is_whole), (low, high), at_most)
    }

    /// An axis of any name and unit, which may take prefixes or have whole values only.
    pub(super) fn named(
        name: &str,
        unit: &str,
        (has_prefix, is_whole): (bool, bool),
        (low, high): (f64, f64),
        at_most: usize,
    ) -> Self {
        let (power, prefix) = if has_prefix { prefix(low.abs().max(high.abs())) } else { (0, "") };
        let title = match unit {
            "" => name.to_owned(),
            _ => format!("{name} ({prefix}{unit})"),
        };
        // From here on in the unit of the labels.
        let factor = 10_f64.powi(power);
        let (low, high) = (low / factor, high / factor);
        let (mut digit, mut exponent) = step((high - low) / at_most.max(1) as f64);
        if is_whole && exponent < 0 {
            (digit, exponent) = (1.0, 0);
        }
        let size = digit * 10_f64.powi(exponent);
        // Powers of ten are rounded, and not on every system alike: an end that is a tick has one.
        let first = (low / size - 1e-9).ceil();
        let count = ((high / size + 1e-9).floor() - first + 1.0).clamp(0.0, 1000.0) as usize;
        let ticks = (0..count)
            .map(|index| {
                let steps = first + index as f64;
                Tick {
                    at: steps * size * factor,
                    label: label(steps * digit, exponent, high.abs().max(low.abs())),
                }
            })
            .collect();
        Self { ticks, title }
    }
}

/// A value of the picture in words.
pub(super) fn value_text(value: f64, unit: Unit) -> String {
    let text = match unit {
        Unit::Volts => format_si(value, "V", 4),
        // Half counts and the like, but not the noise of a conversion.
        Unit::Counts => format!("{}", (value * 1000.0).round() / 1000.0),
        Unit::Values => format!("{}", value as f32),
    };
    text.replace('-', "\u{2212}")
}

/// The power of a thousand for values up to `most`, and its prefix.
fn prefix(most: f64) -> (i32, &'static str) {
    const PREFIXES: [&str; 10] = ["f", "p", "n", "µ", "m", "", "k", "M", "G", "T"];
    // Twelve digits, so that 0.001 is not taken for a little less.
    let group = if most > 0.0 { ((most.log10() + 1e-12) / 3.0).floor() } else { 0.0 };
    let group = (group as i32).clamp(-5, 4);
    (3 * group, PREFIXES.get((group + 5) as usize).copied().unwrap_or_default())
}

/// The smallest of 1, 2 or 5 times a power of ten that is at least `least`.
fn step(least: f64) -> (f64, i32) {
    if !(least > 0.0 && least.is_finite()) {
        return (1.0, 0);
    }
    let exponent = least.log10().floor() as i32;
    let size = 10_f64.powi(exponent);
    let enough = |digit: &f64| digit * size >= least * (1.0 - 1e-9);
    match [1.0, 2.0, 5.0].into_iter().find(enough) {
        Some(digit) => (digit, exponent),
        None => (1.0, exponent + 1),
    }
}

/// A whole multiple of a power of ten, with the decimals it needs.
fn label(multiple: f64, exponent: i32, most: f64) -> String {
    let value = multiple * 10_f64.powi(exponent);
    let text = if most >= 1e7 || exponent < -6 {
        // As many digits as tell neighbours apart.
        let digits = if most > 0.0 { most.log10().floor() as i32 - exponent } else { 0 };
        format!("{value:.*e}", digits.clamp(0, 12) as usize)
    } else {
        format!("{value:.*}", exponent.min(0).unsigned_abs() as usize)
    };
    if multiple == 0.0 { "0".to_owned() } else { text.replace('-', "\u{2212}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(low: f64, high: f64, quantity: Quantity) -> (String, Vec<String>) {
        let axis = Axis::new(low, high, quantity, 6);
        (axis.title, axis.ticks.into_iter().map(|tick| tick.label).collect())
    }

    #[test]
    fn steps_are_one_two_or_five_and_decimals_as_needed() {
        let (title, volts) = labels(-0.1, 3.3, Quantity::Value(Unit::Volts));
        assert_eq!(title, "voltage (V)");
        assert_eq!(volts, ["0", "1", "2", "3"]);
        let (title, times) = labels(-0.0005, 0.001, Quantity::Seconds);
        assert_eq!(title, "time from the trigger (ms)");
        assert_eq!(times, ["−0.5", "0", "0.5", "1.0"]);
        let (title, times) = labels(-2e-9, 8e-9, Quantity::Seconds);
        assert_eq!(title, "time from the trigger (ns)");
        assert_eq!(times, ["−2", "0", "2", "4", "6", "8"]);
    }

    #[test]
    fn counts_and_samples_are_whole() {
        assert_eq!(labels(0.0, 1.0, Quantity::Samples).1, ["0", "1"]);
        let (title, counts) = labels(0.0, 4095.0, Quantity::Value(Unit::Counts));
        assert_eq!(title, "value (counts)");
        assert_eq!(counts, ["0", "1000", "2000", "3000", "4000"]);
    }

    #[test]
    fn ticks_are_where_their_labels_say() {
        let axis = Axis::new(-0.0123, 0.0456, Quantity::Seconds, 7);
        for tick in axis.ticks {
            let shown: f64 = tick.label.replace('\u{2212}', "-").parse().unwrap();
            assert!((shown * 1e-3 - tick.at).abs() < 1e-12);
        }
    }

    #[test]
    fn extremes_have_ticks_and_no_panic() {
        for (low, high) in [(0.0, 1e300), (-1e-300, 1e-300), (5.0, 5.0), (1.0, 1.0 + 1e-15)] {
            let axis = Axis::new(low, high, Quantity::Value(Unit::Values), 6);
            assert!(axis.ticks.len() < 20);
        }
        let long = labels(0.0, 3e9, Quantity::Value(Unit::Counts)).1;
        assert_eq!(long, ["0", "5.0e8", "1.0e9", "1.5e9", "2.0e9", "2.5e9", "3.0e9"]);
    }

    #[test]
    fn values_in_words() {
        assert_eq!(value_text(-1.65, Unit::Volts), "−1.650 V");
        assert_eq!(value_text(2048.0, Unit::Counts), "2048");
        assert_eq!(value_text(0.1, Unit::Values), "0.1");
    }
}
