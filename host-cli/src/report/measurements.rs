//! Measurements: a row a record, then what they come to over all.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde_json::{Map, Value as Json, json};
use stillwave::measure::{Running, Value};

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::measured::{Found, Quantity};

/// What a quantity comes to over all records, and how often it had no value, by reason.
#[derive(Clone, Default)]
struct Summary {
    values: Running,
    reasons: BTreeMap<String, u64>,
}

/// Where a measured record stands.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The record, from 1, as files are numbered.
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
    quantities: &'static [Quantity],
    rows: u64,
    /// For each channel, each quantity's.
    channels: BTreeMap<usize, Vec<Summary>>,
    calibrations: BTreeMap<usize, Calibration>,
}

impl<W: Write> MeasurementReport<W> {
    /// A report of these quantities to `out`.
    pub fn new(out: W, format: ReportFormat, quantities: &'static [Quantity]) -> Self {
        Self {
            out,
            format,
            quantities,
            rows: 0,
            channels: BTreeMap::new(),
            calibrations: BTreeMap::new(),
        }
    }

    /// Writes one record's measurements, in volts and seconds as far as they are known.
    ///
    /// # Errors
    /// As the output.
    pub fn write(
        &mut self,
        place: &Place,
        found: &Found,
        calibration: &Calibration,
    ) -> io::Result<()> {
        self.calibrations.entry(place.channel).or_insert(*calibration);
        let sums = self
            .channels
            .entry(place.channel)
            .or_insert_with(|| vec![Summary::default(); self.quantities.len()]);
        for (quantity, summary) in self.quantities.iter().zip(sums) {
            let value = (quantity.of)(found);
            summary.values.push(value);
            if let Err(reason) = value {
                *summary.reasons.entry(quantity.why(reason)).or_default() += 1;
            }
        }
        if self.rows == 0 && self.format == ReportFormat::Csv {
            write!(self.out, "record,channel,crossing,time,triggered,samples")?;
            for quantity in self.quantities {
                write!(self.out, ",{}", quantity.key)?;
            }
            writeln!(self.out)?;
        }
        self.rows += 1;
        match self.format {
            ReportFormat::Table => Ok(()),
            ReportFormat::Json => self.write_json(place, found, calibration),
            ReportFormat::Csv => self.write_csv(place, found, calibration),
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
                write_table(&mut self.out, self.quantities, sums, calibration)?;
            }
        }
        Ok(self.out)
    }

    fn write_json(
        &mut self,
        place: &Place,
        found: &Found,
        calibration: &Calibration,
    ) -> io::Result<()> {
        let mut row = Map::new();
        row.insert("record".into(), json!(place.record));
        row.insert("channel".into(), json!(place.channel));
        row.insert("crossing".into(), json!(place.crossing));
        row.insert("time".into(), json!(calibration.time(place.crossing)));
        row.insert("triggered".into(), json!(place.triggered));
        row.insert("samples".into(), json!(found.basic.samples));
        let mut reasons = Map::new();
        for quantity in self.quantities {
            let value = (quantity.of)(found);
            row.insert(quantity.key.into(), json!(value.ok()));
            if let Err(reason) = value {
                reasons.insert(quantity.key.into(), json!(quantity.why(reason)));
            }
        }
        row.insert("reasons".into(), Json::Object(reasons));
        serde_json::to_writer(&mut self.out, &row)?;
        writeln!(self.out)
    }

    fn write_csv(
        &mut self,
        place: &Place,
        found: &Found,
        calibration: &Calibration,
    ) -> io::Result<()> {
        let time = calibration.time(place.crossing).map(|t| t.to_string()).unwrap_or_default();
        write!(
            self.out,
            "{},{},{},{time},{},{}",
            place.record, place.channel, place.crossing, place.triggered, found.basic.samples
        )?;
        for quantity in self.quantities {
            match (quantity.of)(found) {
                Ok(value) => write!(self.out, ",{value}")?,
                Err(_) => write!(self.out, ",")?,
            }
        }
        writeln!(self.out)
    }
}

fn write_table(
    out: &mut impl Write,
    quantities: &[Quantity],
    sums: &[Summary],
    calibration: &Calibration,
) -> io::Result<()> {
    let names =
        quantities.iter().map(|quantity| quantity.name.len() + 1).max().unwrap_or(0).max(16);
    writeln!(
        out,
        "{:<names$}{:>13}{:>13}{:>13}{:>13}{:>9}",
        "", "mean", "deviation", "minimum", "maximum", "records"
    )?;
    for (quantity, Summary { values, reasons }) in quantities.iter().zip(sums) {
        let show = |value: Value| {
            value.map_or("-".to_owned(), |value| quantity.unit.show(value, calibration))
        };
        write!(out, "{:<names$}{:>13}", quantity.name, show(values.mean()))?;
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
