//! Quantities of a channel for people.

use crate::calibration::Calibration;
use crate::quantity::{format_si, number_of};

/// Counts for people, in volts where they are known.
pub fn level(calibration: &Calibration, counts: f64) -> String {
    match calibration.scale {
        Some(scale) => format_si(scale.volts(counts), "V", 4),
        None => number_of((counts * 10.0).round() / 10.0, "count"),
    }
}

/// A difference of counts for people.
pub fn difference(calibration: &Calibration, counts: f64) -> String {
    match calibration.scale {
        Some(scale) => format_si(counts * scale.volts_per_count.abs(), "V", 3),
        None => number_of((counts * 100.0).round() / 100.0, "count"),
    }
}

/// A number of samples for people, in seconds where they are known.
pub fn samples(calibration: &Calibration, length: f64) -> String {
    match calibration.rate {
        Some(rate) => format_si(length / rate, "s", 4),
        None => number_of((length * 100.0).round() / 100.0, "sample"),
    }
}
