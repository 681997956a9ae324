//! Measurements: a row a record, then what they come to over all.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde_json::{Map, Value as Json, json};
use stillwave::measure::{Measurements, Running, Value};

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::quantity::format_si;

/// One measured quantity.
struct Quantity {
    /// Its key in JSON and CSV.
    key: &'static str,
    /// Its name for people.
    name: &'static str,
    unit: Unit,
    of: fn(&Measurements) -> Value,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Level,
    Time,
    Frequency,
    Fraction,
}

const fn quantity(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Measurements) -> Value,
) -> Quantity {
    Quantity { key, name, unit, of }
}

/// All quantities, in the order in which they are shown.
const QUANTITIES: [Quantity; 17] = [
    quantity("minimum", "minimum", Unit::Level, |m| m.minimum),
    quantity("maximum", "maximum", Unit::Level, |m| m.maximum),
    quantity("peak_to_peak", "peak to peak", Unit::Level, |m| m.peak_to_peak),
    quantity("mean", "mean", Unit::Level, |m| m.mean),
    quantity("rms", "RMS", Unit::Level, |m| m.rms),
    quantity("ac_rms", "AC RMS", Unit::Level, |m| m.ac_rms),
    quantity("low", "low state", Unit::Level, |m| m.low),
    quantity("high", "high state", Unit::Level, |m| m.high),
    quantity("amplitude", "amplitude", Unit::Level, |m| m.amplitude),
    quantity("period", "period", Unit::Time, |m| m.timing.period),
    quantity("frequency", "frequency", Unit::Frequency, |m| m.timing.frequency),
    quantity("duty", "duty", Unit::Fraction, |m| m.timing.duty),
    quantity("positive_width", "positive width", Unit::Time, |m| m.timing.positive_width),
    quantity("negative_width", "negative width", Unit::Time, |m| m.timing.negative_width),
    quantity("rise_time", "rise 10-90 %", Unit::Time, |m| m.timing.rise_time),
    quantity("fall_time", "fall 10-90 %", Unit::Time, |m| m.timing.fall_time),
    quantity("cycles", "cycles", Unit::Fraction, |m| Ok(m.timing.cycles as f64)),
];

/// What a quantity comes to over all records, and how often it had no value, by reason.
#[derive(Clone, Default)]
struct Summary {
    values: Running,
    reasons: BTreeMap<String, u64>,
}

/// Where a measured record stands.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The record, from 0.
    pub record: u64,
    /// The channel, from 1.
    pub channel: usize,
    /// The instant it is aligned on, in samples.
    pub crossing: f64,
    /// Whether an event started it.
    pub triggered: bool,
}

/// Writes measurements as they come.
pub struct MeasurementReport<W> {
    out: W,
    format: ReportFormat,
    rows: u64,
    /// For each channel, each quantity's.
    channels: BTreeMap<usize, Vec<Summary>>,
    calibrations: BTreeMap<usize, Calibration>,
}

impl<W: Write> MeasurementReport<W> {
    /// A report to `out`.
    pub fn new(out: W, format: ReportFormat) -> Self {
        Self { out, format, rows: 0, channels: BTreeMap::new(), calibrations: BTreeMap::new() }
    }

    /// Writes one record's measurements, in volts and seconds as far as they are known.
    ///
    /// # Errors
    /// As the output.
    pub fn write(
        &mut self,
        place: &Place,
        measurements: &Measurements,
        calibration: &Calibration,
    ) -> io::Result<()> {
        self.calibrations.entry(place.channel).or_insert(*calibration);
        let sums = self
            .channels
            .entry(place.channel)
            .or_insert_with(|| vec![Summary::default(); QUANTITIES.len()]);
        for (quantity, summary) in QUANTITIES.iter().zip(sums) {
            let value = (quantity.of)(measurements);
            summary.values.push(value);
            if let Err(reason) = value {
                *summary.reasons.entry(reason.to_string()).or_default() += 1;
            }
        }
        if self.rows == 0 && self.format == ReportFormat::Csv {
            write!(self.out, "record,channel,crossing,time,triggered,samples")?;
            for quantity in &QUANTITIES {
                write!(self.out, ",{}", quantity.key)?;
            }
            writeln!(self.out)?;
        }
        self.rows += 1;
        match self.format {
            ReportFormat::Table => Ok(()),
            ReportFormat::Json => self.write_json(place, measurements, calibration),
            ReportFormat::Csv => self.write_csv(place, measurements, calibration),
        }
    }

    /// Writes what follows the rows: for people, everything.
    ///
    /// # Errors
    /// As the output.
    pub fn finish(mut self) -> io::Result<W> {
        if self.format == ReportFormat::Table {
            let several = self.channels.len() > 1;
            for (channel, sums) in &self.channels {
                let Some(calibration) = self.calibrations.get(channel) else { continue };
                writeln!(self.out)?;
                if several {
                    writeln!(self.out, "channel {channel}")?;
                }
                write_table(&mut self.out, sums, calibration)?;
            }
        }
        Ok(self.out)
    }

    fn write_json(
        &mut self,
        place: &Place,
        measurements: &Measurements,
        calibration: &Calibration,
    ) -> io::Result<()> {
        let mut row = Map::new();
        row.insert("record".into(), json!(place.record));
        row.insert("channel".into(), json!(place.channel));
        row.insert("crossing".into(), json!(place.crossing));
        row.insert("time".into(), json!(calibration.time(place.crossing)));
        row.insert("triggered".into(), json!(place.triggered));
        row.insert("samples".into(), json!(measurements.samples));
        let mut reasons = Map::new();
        for quantity in &QUANTITIES {
            let value = (quantity.of)(measurements);
            row.insert(quantity.key.into(), json!(value.ok()));
            if let Err(reason) = value {
                reasons.insert(quantity.key.into(), json!(reason.to_string()));
            }
        }
        row.insert("reasons".into(), Json::Object(reasons));
        serde_json::to_writer(&mut self.out, &row)?;
        writeln!(self.out)
    }

    fn write_csv(
        &mut self,
        place: &Place,
        measurements: &Measurements,
        calibration: &Calibration,
    ) -> io::Result<()> {
        let time = calibration.time(place.crossing).map(|t| t.to_string()).unwrap_or_default();
        write!(
            self.out,
            "{},{},{},{time},{},{}",
            place.record, place.channel, place.crossing, place.triggered, measurements.samples
        )?;
        for quantity in &QUANTITIES {
            match (quantity.of)(measurements) {
                Ok(value) => write!(self.out, ",{value}")?,
                Err(_) => write!(self.out, ",")?,
            }
        }
        writeln!(self.out)
    }
}

fn write_table(
    out: &mut impl Write,
    sums: &[Summary],
    calibration: &Calibration,
) -> io::Result<()> {
    writeln!(
        out,
        "{:<16}{:>13}{:>13}{:>13}{:>13}{:>9}",
        "", "mean", "deviation", "minimum", "maximum", "records"
    )?;
    for (quantity, Summary { values, reasons }) in QUANTITIES.iter().zip(sums) {
        let show = |value: Value| {
            value.map_or("-".to_owned(), |value| show(value, quantity.unit, calibration))
        };
        write!(out, "{:<16}{:>13}", quantity.name, show(values.mean()))?;
        if values.count() > 0 {
            write!(
                out,
                "{:>13}{:>13}{:>13}{:>9}",
                show(values.standard_deviation()),
                show(values.minimum()),
                show(values.maximum()),
                values.count()
            )?;
        }
        let reasons: Vec<String> =
            reasons.iter().map(|(reason, count)| format!("{count} × {reason}")).collect();
        if !reasons.is_empty() {
            write!(out, "  ({})", reasons.join(", "))?;
        }
        writeln!(out)?;
    }
    Ok(())
}

fn show(value: f64, unit: Unit, calibration: &Calibration) -> String {
    match unit {
        Unit::Level if calibration.scale.is_some() => format_si(value, "V", 4),
        Unit::Time if calibration.rate.is_some() => format_si(value, "s", 4),
        Unit::Frequency if calibration.rate.is_some() => format_si(value, "Hz", 5),
        Unit::Time => format!("{value:.3} sa"),
        _ => format!("{value:.4}"),
    }
}

/// Counts in volts and samples in seconds, as far as they are known.
pub fn calibrated(measurements: Measurements, calibration: &Calibration) -> Measurements {
    let measurements = match calibration.scale {
        Some(scale) => measurements.scaled(scale),
        None => measurements,
    };
    // A rate that could not be would have been refused before.
    calibration.rate.and_then(|rate| measurements.timed(rate).ok()).unwrap_or(measurements)
}
