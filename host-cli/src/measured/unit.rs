//! What quantities are measured in, and how values are written.

use crate::calibration::Calibration;
use crate::quantity::format_si;

/// What a quantity is measured in; each has its own way to be written and read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Volts, or counts where their scale is not known.
    Level,
    /// A difference of levels.
    Difference,
    /// Seconds, or samples.
    Time,
    /// Hertz, or cycles a sample.
    Frequency,
    /// A part of a whole.
    Fraction,
    /// How many.
    Count,
    /// A ratio to something of the same kind.
    Ratio,
    /// Volts a second, or as far as they are known.
    Slew,
    /// Decibels.
    Decibels,
}

impl Unit {
    /// A difference of values, or how uncertain one is, for people: two digits.
    pub fn show_difference(self, value: f64, calibration: &Calibration) -> String {
        let (volts, seconds) = (calibration.scale.is_some(), calibration.rate.is_some());
        match self {
            Self::Level | Self::Difference if volts => format_si(value, "V", 2),
            Self::Time if seconds => format_si(value, "s", 2),
            Self::Frequency if seconds => format_si(value, "Hz", 2),
            Self::Time => format!("{value:.2} sa"),
            unit => unit.show(value, calibration),
        }
    }

    /// A value for people.
    pub fn show(self, value: f64, calibration: &Calibration) -> String {
        let (volts, seconds) = (calibration.scale.is_some(), calibration.rate.is_some());
        match self {
            Self::Level | Self::Difference if volts => format_si(value, "V", 4),
            Self::Time if seconds => format_si(value, "s", 4),
            Self::Time => format!("{value:.3} sa"),
            Self::Frequency if seconds => format_si(value, "Hz", 5),
            // Distortion may be small: two digits of it.
            Self::Fraction if value != 0.0 && value.abs() < 0.001 => {
                let first = (value.abs() * 100.0).log10().floor();
                match (1.0 - first) as usize {
                    places @ 0..8 => format!("{:.*} %", places.max(4), value * 100.0),
                    _ => format!("{:.1e} %", value * 100.0),
                }
            }
            Self::Fraction => format!("{:.2} %", value * 100.0),
            Self::Decibels => format!("{value:.2} dB"),
            Self::Slew if volts && seconds => format_si(value, "V/s", 4),
            Self::Slew if volts => format_si(value, "V/sa", 4),
            Self::Slew if seconds => format_si(value, "ct/s", 4),
            Self::Slew => format!("{value:.4} ct/sa"),
            _ => format!("{value:.4}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Unit;
    use crate::calibration::Calibration;

    #[test]
    fn what_is_small_keeps_two_digits_and_counts_are_called_so() {
        let calibration = |rate| Calibration {
            scale: None,
            is_counted: true,
            rate,
            start_time: 0.0,
            codes: None,
            origin: 0.0,
        };
        for (unit, value, rate, text) in [
            (Unit::Fraction, 0.0123, None, "1.23 %"),
            (Unit::Fraction, 0.000_123_4, None, "0.0123 %"),
            (Unit::Fraction, 1.234e-7, None, "0.000012 %"),
            (Unit::Fraction, -1.2e-12, None, "-1.2e-10 %"),
            (Unit::Fraction, 0.0, None, "0.00 %"),
            (Unit::Slew, 1.4585e8, Some(1e6), "145.8 Mct/s"),
            (Unit::Slew, 12.5, None, "12.5000 ct/sa"),
        ] {
            assert_eq!(unit.show(value, &calibration(rate)), text);
        }
    }
}
