//! Events, one a line.

use std::io::{self, Write};

use stillwave::{Event, Polarity, Slope};

use super::EventRow;
use super::event_row::csv_extras;
use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::quantity::format_si;

/// Writes events as they come.
pub struct EventReport<W> {
    out: W,
    format: ReportFormat,
    calibration: Calibration,
    rows: u64,
}

impl<W: Write> EventReport<W> {
    /// A report to `out`.
    pub fn new(out: W, format: ReportFormat, calibration: Calibration) -> Self {
        Self { out, format, calibration, rows: 0 }
    }

    /// Writes one event.
    ///
    /// # Errors
    /// As the output.
    pub fn write(&mut self, event: &Event) -> io::Result<()> {
        let row = EventRow::new(event, &self.calibration);
        if self.rows == 0 {
            self.header(&row)?;
        }
        self.rows += 1;
        match self.format {
            ReportFormat::Json => {
                serde_json::to_writer(&mut self.out, &row)?;
                writeln!(self.out)
            }
            ReportFormat::Csv => self.write_csv(&row),
            ReportFormat::Table => self.write_table(&row),
        }
    }

    /// The output, for what comes after the events.
    pub fn into_inner(self) -> W {
        self.out
    }

    fn header(&mut self, row: &EventRow) -> io::Result<()> {
        match self.format {
            ReportFormat::Json => Ok(()),
            ReportFormat::Csv => {
                write!(self.out, "position,crossing,time,kind,slope,polarity,width,width_samples")?;
                for (name, _) in csv_extras(row) {
                    write!(self.out, ",{name}")?;
                }
                writeln!(self.out)
            }
            ReportFormat::Table => {
                write!(self.out, "{:>8}  {:>14}", "event", "crossing")?;
                if row.time.is_some() {
                    write!(self.out, "  {:>16}", "time")?;
                }
                write!(self.out, "  {:<17}", "kind")?;
                if let Some((name, ..)) = row.span() {
                    write!(self.out, "  {name}")?;
                }
                writeln!(self.out)
            }
        }
    }

    fn write_csv(&mut self, row: &EventRow) -> io::Result<()> {
        let number = |n: Option<f64>| n.map(|n| n.to_string()).unwrap_or_default();
        let slope = row.slope.map_or("", |slope| match slope {
            Slope::Rising => "rising",
            Slope::Falling => "falling",
        });
        let polarity = row.polarity.map_or("", |polarity| match polarity {
            Polarity::Positive => "positive",
            Polarity::Negative => "negative",
        });
        write!(
            self.out,
            "{},{},{},{},{slope},{polarity},{},{}",
            row.position,
            row.crossing,
            number(row.time),
            row.kind,
            number(row.width.flatten()),
            number(row.width_samples),
        )?;
        for (_, value) in csv_extras(row) {
            write!(self.out, ",{value}")?;
        }
        writeln!(self.out)
    }

    fn write_table(&mut self, row: &EventRow) -> io::Result<()> {
        write!(self.out, "{:>8}  {:>14.3}", self.rows, row.crossing)?;
        if let (Some(time), Some(rate)) = (row.time, self.calibration.rate) {
            // To a hundredth of a sample.
            let digits = (rate.log10().ceil() + 2.0).clamp(3.0, 12.0) as usize;
            write!(self.out, "  {:>16}", format!("{time:.digits$} s"))?;
        }
        write!(self.out, "  {:<17}", row.describe())?;
        match row.span() {
            Some((_, Some(seconds), _)) => write!(self.out, "  {}", format_si(seconds, "s", 5))?,
            Some((_, None, samples)) => write!(self.out, "  {samples:.3} samples")?,
            None => {}
        }
        writeln!(self.out)
    }
}
