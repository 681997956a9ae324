//! Measurements: a row a record, then what they come to over all.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde_json::{Map, Value as Json, json};
use stillwave::measure::{References, Running, Value};

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::measured::{Found, Quantity, doubt_in_words, kind_of_doubt};

/// A quantity over all records.
#[derive(Clone, Default)]
struct Summary {
    values: Running,
    /// The variances that the records state for it.
    variances: Running,
    /// How often it had no value, by reason.
    reasons: BTreeMap<String, u64>,
    /// How often its value was doubtful, by kind, and the last such doubt.
    doubts: BTreeMap<String, (u64, String)>,
}

impl Summary {
    /// The standard uncertainty of one record's value, typically.
    fn sigma(&self) -> Value {
        self.variances.mean().map(f64::sqrt)
    }

    /// Why values are missing or doubtful, with how often.
    fn remarks(&self) -> String {
        let reasons = self.reasons.iter().map(|(reason, count)| format!("{count} × {reason}"));
        let doubts = self.doubts.iter().map(|(kind, (count, doubt))| {
            if *count == 1 { doubt.clone() } else { format!("{count} × {kind}") }
        });
        reasons.chain(doubts).collect::<Vec<_>>().join(", ")
    }
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
    references: References,
    rows: u64,
    /// For each channel, each quantity's.
    channels: BTreeMap<usize, Vec<Summary>>,
    calibrations: BTreeMap<usize, Calibration>,
}

impl<W: Write> MeasurementReport<W> {
    /// A report of these quantities to `out`; rise and fall were timed between these references.
    pub fn new(
        out: W,
        format: ReportFormat,
        quantities: &'static [Quantity],
        references: References,
    ) -> Self {
        Self {
            out,
            format,
            quantities,
            references,
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
            if let Ok(sigma) = quantity.sigma(found) {
                summary.variances.push(Ok(sigma * sigma));
            }
            for doubt in quantity.doubts(found).filter(|_| value.is_ok()) {
                let (count, last) = summary.doubts.entry(kind_of_doubt(doubt)).or_default();
                *count += 1;
                *last = doubt_in_words(doubt, calibration);
            }
            if let Err(reason) = value {
                *summary.reasons.entry(quantity.why(reason)).or_default() += 1;
            }
        }
        if self.rows == 0 && self.format == ReportFormat::Csv {
            write!(self.out, "record,channel,crossing,time,triggered,samples")?;
            for quantity in self.quantities {
                write!(self.out, ",{}", quantity.key)?;
            }
            for quantity in self.quantities.iter().filter(|quantity| quantity.has_sigma()) {
                write!(self.out, ",sigma_{}", quantity.key)?;
            }
            writeln!(self.out, ",doubts")?;
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
                write_table(&mut self.out, self.quantities, sums, calibration, self.references)?;
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
        let (mut reasons, mut doubts, mut sigmas) = (Map::new(), Map::new(), Map::new());
        for quantity in self.quantities {
            let value = (quantity.of)(found);
            row.insert(quantity.key.into(), json!(value.ok()));
            if let Err(reason) = value {
                reasons.insert(quantity.key.into(), json!(quantity.why(reason)));
            }
            if let Ok(sigma) = quantity.sigma(found) {
                sigmas.insert(quantity.key.into(), json!(sigma));
            }
            let words: Vec<_> =
                quantity.doubts(found).map(|doubt| doubt_in_words(doubt, calibration)).collect();
            if value.is_ok() && !words.is_empty() {
                doubts.insert(quantity.key.into(), json!(words));
            }
        }
        row.insert("sigma".into(), Json::Object(sigmas));
        row.insert("doubts".into(), Json::Object(doubts));
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
        for quantity in self.quantities.iter().filter(|quantity| quantity.has_sigma()) {
            match quantity.sigma(found) {
                Ok(sigma) => write!(self.out, ",{sigma}")?,
                Err(_) => write!(self.out, ",")?,
            }
        }
        writeln!(self.out, ",{}", doubts_in_a_field(self.quantities, found, calibration))
    }
}

/// Each doubt once, with the quantities it is about, in quotes: `"high amplitude: …; …"`.
fn doubts_in_a_field(quantities: &[Quantity], found: &Found, calibration: &Calibration) -> String {
    let mut doubts: Vec<(String, Vec<&str>)> = Vec::new();
    for quantity in quantities.iter().filter(|quantity| (quantity.of)(found).is_ok()) {
        for doubt in quantity.doubts(found) {
            let words = doubt_in_words(doubt, calibration);
            match doubts.iter_mut().find(|(known, _)| *known == words) {
                Some((_, keys)) => keys.push(quantity.key),
                None => doubts.push((words, vec![quantity.key])),
            }
        }
    }
    let texts: Vec<_> =
        doubts.iter().map(|(words, keys)| format!("{}: {words}", keys.join(" "))).collect();
    if texts.is_empty() { String::new() } else { format!("\"{}\"", texts.join("; ")) }
}

fn write_table(
    out: &mut impl Write,
    quantities: &[Quantity],
    sums: &[Summary],
    calibration: &Calibration,
    references: References,
) -> io::Result<()> {
    let names =
        quantities.iter().map(|quantity| quantity.name.len() + 1).max().unwrap_or(0).max(16);
    writeln!(
        out,
        "{:<names$}{:>13}{:>12}{:>13}{:>13}{:>13}{:>9}",
        "", "mean", "± 1 sigma", "deviation", "minimum", "maximum", "records"
    )?;
    for (quantity, summary) in quantities.iter().zip(sums) {
        let values = &summary.values;
        let show = |value: Value| {
            value.map_or("-".to_owned(), |value| quantity.unit.show(value, calibration))
        };
        write!(out, "{:<names$}{:>13}", quantity.name_at(references), show(values.mean()))?;
        if values.count() > 0 {
            write!(
                out,
                "{:>12}{:>13}{:>13}{:>13}{:>9}",
                summary.sigma().map_or(String::new(), |sigma| {
                    quantity.unit.show_difference(sigma, calibration)
                }),
                show(values.standard_deviation()),
                show(values.minimum()),
                show(values.maximum()),
                values.count()
            )?;
        }
        let remarks = summary.remarks();
        if !remarks.is_empty() {
            write!(out, "  ({remarks})")?;
        }
        writeln!(out)?;
    }
    Ok(())
}
