//! `measure --histogram`: how a quantity is spread over all records.

use stillwave::measure::{Bin, Distribution};

use crate::calibration::Calibration;
use crate::measured::{Quantity, Unit};
use crate::quantity::counted;
use crate::view::chart::{Chart, Look, Measure, Series};

/// Bars in the picture, about.
const BARS: usize = 48;

/// The picture of a distribution; `None` where there is no value.
pub(super) fn chart(
    spread: &Distribution,
    quantity: &Quantity,
    calibration: &Calibration,
    title: String,
    condition: String,
) -> Option<Chart> {
    let bins = merged(spread);
    let (first, last) = bins.first().zip(bins.last())?;
    let (unit, prefixed, factor) = match quantity.unit {
        Unit::Level | Unit::Difference if calibration.scale.is_some() => ("V", true, 1.0),
        Unit::Level | Unit::Difference => ("counts", false, 1.0),
        Unit::Time if calibration.rate.is_some() => ("s", true, 1.0),
        Unit::Time => ("samples", false, 1.0),
        Unit::Frequency if calibration.rate.is_some() => ("Hz", true, 1.0),
        Unit::Frequency => ("cycles a sample", false, 1.0),
        Unit::Fraction => ("%", false, 100.0),
        Unit::Decibels => ("dB", false, 1.0),
        Unit::Slew if calibration.scale.is_some() && calibration.rate.is_some() => {
            ("V/s", true, 1.0)
        }
        Unit::Count | Unit::Ratio | Unit::Slew => ("", false, 1.0),
    };
    let mut points = Vec::with_capacity(4 * bins.len());
    for bin in &bins {
        let count = f64::from(bin.count);
        let (low, high) = (bin.low * factor, bin.high * factor);
        points.extend([(low, 0.0), (low, count), (high, count), (high, 0.0)]);
    }
    let most = bins.iter().map(|bin| bin.count).max().unwrap_or(1);
    let missing = match spread.missing() {
        0 => String::new(),
        n => format!(" · {n} without a value"),
    };
    Some(Chart {
        title,
        condition,
        summary: format!(
            "{}{missing} · bars of {}",
            counted(spread.count(), "record"),
            quantity.unit.show(first.high - first.low, calibration)
        ),
        across: Measure {
            name: quantity.name.to_owned(),
            unit: unit.to_owned(),
            prefixed,
            whole: false,
            low: (first.low - (first.high - first.low)) * factor,
            high: (last.high + (last.high - last.low)) * factor,
        },
        up: Measure {
            name: "records".to_owned(),
            unit: String::new(),
            prefixed: false,
            whole: true,
            low: 0.0,
            high: f64::from(most) * 1.06,
        },
        series: vec![Series { name: String::new(), look: Look::Filled, points }],
        flags: Vec::new(),
    })
}

/// The bins from the first to the last that holds something, so many together that a picture shows
/// them.
fn merged(spread: &Distribution) -> Vec<Bin> {
    let bins: Vec<Bin> = spread.bins().collect();
    let first = bins.iter().position(|bin| bin.count > 0).unwrap_or(0);
    let last = bins.iter().rposition(|bin| bin.count > 0).map_or(0, |last| last + 1);
    let used = bins.get(first..last).unwrap_or_default();
    let together = used.len().div_ceil(BARS).max(1);
    used.chunks(together)
        .filter_map(|chunk| {
            // All of one width, the last too, behind which there is nothing.
            let Bin { low, high, .. } = *chunk.first()?;
            let count = chunk.iter().map(|bin| bin.count).sum();
            Some(Bin { low, high: low + together as f64 * (high - low), count })
        })
        .collect()
}
