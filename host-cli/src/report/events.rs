//! Events, one a line.

use std::io::{self, Write};

use serde::Serialize;
use stillwave::{Event, EventKind, Polarity, Slope, Span, WindowEvent};

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
    /// The direction of edges or transitions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<Slope>,
    /// A pulse's polarity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub polarity: Option<Polarity>,
    /// What happened at a window: `entered`, `left`, `stayed-inside`, `stayed-outside`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what: Option<&'static str>,
    /// A pulse's width in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Option<f64>>,
    /// A pulse's width in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width_samples: Option<f64>,
    /// The time between two edges in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval: Option<Option<f64>>,
    /// The time between two edges in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval_samples: Option<f64>,
    /// How long a transition or a stay took, or how long there was no edge, in seconds; null where
    /// no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duration: Option<Option<f64>>,
    /// As `duration`, in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duration_samples: Option<f64>,
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
            what: None,
            width: None,
            width_samples: None,
            interval: None,
            interval_samples: None,
            duration: None,
            duration_samples: None,
        };
        let seconds = |span: Span| Some(calibration.rate.map(|rate| span.to_seconds(rate)));
        match event.kind {
            EventKind::Edge { slope } => {
                row.kind = "edge";
                row.slope = Some(slope);
            }
            EventKind::Pulse { polarity, width } | EventKind::Runt { polarity, width } => {
                let runt = matches!(event.kind, EventKind::Runt { .. });
                row.kind = if runt { "runt" } else { "pulse" };
                row.polarity = Some(polarity);
                row.width = seconds(width);
                row.width_samples = Some(width.to_samples());
            }
            EventKind::Interval { slope, time } => {
                row.kind = "interval";
                row.slope = Some(slope);
                row.interval = seconds(time);
                row.interval_samples = Some(time.to_samples());
            }
            EventKind::Dropout { time } => {
                row.kind = "dropout";
                row.duration = seconds(time);
                row.duration_samples = Some(time.to_samples());
            }
            EventKind::Transition { slope, time } => {
                row.kind = "transition";
                row.slope = Some(slope);
                row.duration = seconds(time);
                row.duration_samples = Some(time.to_samples());
            }
            EventKind::Window { what } => {
                let (what, time) = match what {
                    WindowEvent::Entered => ("entered", None),
                    WindowEvent::Left => ("left", None),
                    WindowEvent::StayedInside { time } => ("stayed-inside", Some(time)),
                    WindowEvent::StayedOutside { time } => ("stayed-outside", Some(time)),
                };
                row.kind = "window";
                row.what = Some(what);
                row.duration = time.and_then(seconds);
                row.duration_samples = time.map(Span::to_samples);
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
        match self.what {
            Some(what) => what.replace('-', " "),
            None => format!("{which}{}", self.kind),
        }
    }

    /// The time that the event is about: what it is, in seconds if they are known, in samples.
    fn span(&self) -> Option<(&'static str, Option<f64>, f64)> {
        let spans = [
            ("width", self.width, self.width_samples),
            ("interval", self.interval, self.interval_samples),
            ("duration", self.duration, self.duration_samples),
        ];
        spans.into_iter().find_map(|(name, time, samples)| Some((name, time.flatten(), samples?)))
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

/// The columns of CSV that only some kinds of event have. One condition's events have the same.
fn csv_extras(row: &EventRow) -> impl Iterator<Item = (&'static str, String)> {
    let number = |name, n: Option<f64>| Some((name, n.map(|n| n.to_string()).unwrap_or_default()));
    [
        row.what.map(|what| ("what", what.to_owned())),
        row.interval.and_then(|time| number("interval", time)),
        row.interval_samples.and_then(|samples| number("interval_samples", Some(samples))),
        row.duration.and_then(|time| number("duration", time)),
        row.duration_samples.and_then(|samples| number("duration_samples", Some(samples))),
    ]
    .into_iter()
    .flatten()
}
