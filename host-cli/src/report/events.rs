//! Events, one a line.

use std::io::{self, Write};

use serde::Serialize;
use stillwave::{Event, EventKind, Polarity, Slope};

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::quantity::format_si;

/// An event in SI units: the fields of JSON and CSV.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EventRow {
    /// The first sample at or past the level, counted from 0.
    pub position: u64,
    /// Where the level was crossed, in samples, interpolated.
    pub crossing: f64,
    /// When it was crossed, in seconds; null where no rate is known.
    pub time: Option<f64>,
    /// `edge`, `pulse`, …
    pub kind: &'static str,
    /// An edge's direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<Slope>,
    /// A pulse's polarity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub polarity: Option<Polarity>,
    /// A pulse's width in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Option<f64>>,
    /// A pulse's width in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width_samples: Option<f64>,
}

impl EventRow {
    /// The row of an event.
    pub fn new(event: &Event, calibration: &Calibration) -> Self {
        let crossing = event.at.samples();
        let mut row = Self {
            position: event.at.position,
            crossing,
            time: calibration.time(crossing),
            kind: "event",
            slope: None,
            polarity: None,
            width: None,
            width_samples: None,
        };
        match event.kind {
            EventKind::Edge { slope } => {
                row.kind = "edge";
                row.slope = Some(slope);
            }
            EventKind::Pulse { polarity, width } => {
                row.kind = "pulse";
                row.polarity = Some(polarity);
                row.width = Some(calibration.rate.map(|rate| width.to_seconds(rate)));
                row.width_samples = Some(width.to_samples());
            }
            _ => {}
        }
        row
    }

    fn describe(&self) -> String {
        let which = match (self.slope, self.polarity) {
            (Some(Slope::Rising), _) => "rising ",
            (Some(Slope::Falling), _) => "falling ",
            (_, Some(Polarity::Positive)) => "positive ",
            (_, Some(Polarity::Negative)) => "negative ",
            _ => "",
        };
        format!("{which}{}", self.kind)
    }
}

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
                writeln!(self.out, "position,crossing,time,kind,slope,polarity,width,width_samples")
            }
            ReportFormat::Table => {
                write!(self.out, "{:>8}  {:>14}", "event", "crossing")?;
                if row.time.is_some() {
                    write!(self.out, "  {:>16}", "time")?;
                }
                write!(self.out, "  {:<16}", "kind")?;
                if row.width_samples.is_some() {
                    write!(self.out, "  width")?;
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
        writeln!(
            self.out,
            "{},{},{},{},{slope},{polarity},{},{}",
            row.position,
            row.crossing,
            number(row.time),
            row.kind,
            number(row.width.flatten()),
            number(row.width_samples),
        )
    }

    fn write_table(&mut self, row: &EventRow) -> io::Result<()> {
        write!(self.out, "{:>8}  {:>14.3}", self.rows, row.crossing)?;
        if let (Some(time), Some(rate)) = (row.time, self.calibration.rate) {
            // To a hundredth of a sample.
            let digits = (rate.log10().ceil() + 2.0).clamp(3.0, 12.0) as usize;
            write!(self.out, "  {:>16}", format!("{time:.digits$} s"))?;
        }
        write!(self.out, "  {:<16}", row.describe())?;
        match (row.width.flatten(), row.width_samples) {
            (Some(width), _) => write!(self.out, "  {}", format_si(width, "s", 5))?,
            (None, Some(samples)) => write!(self.out, "  {samples:.3} samples")?,
            _ => {}
        }
        writeln!(self.out)
    }
}
