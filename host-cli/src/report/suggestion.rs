//! Suggestions, for people and for programs.

use std::io::Write;

use serde_json::{Map, Value as Json, json};
use stillwave::Sample;
use stillwave::suggest::{Overview, Pattern, Proposal};

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Info;
use crate::quantity::{counted, format_si};
use crate::shell::command;
use crate::suggest::{Options, Reason, Typed};

/// Writes what was found and what to set, a channel after the other.
pub struct SuggestionReport<W> {
    out: W,
    format: ReportFormat,
    rows: u64,
}

impl<W: Write> SuggestionReport<W> {
    /// A report to `out`.
    pub fn new(out: W, format: ReportFormat) -> Self {
        Self { out, format, rows: 0 }
    }

    /// What is looked at.
    ///
    /// # Errors
    /// As the output.
    pub fn heading(&mut self, info: &Info, channel: usize) -> Result<(), Error> {
        if self.format != ReportFormat::Table {
            return Ok(());
        }
        let gap = if self.rows > 0 { "\n" } else { "" };
        self.line(&format!("{gap}{}", super::recording_channel(info, channel)))
    }

    /// That there is nothing to trigger on.
    ///
    /// # Errors
    /// As the output.
    pub fn nothing(
        &mut self,
        channel: usize,
        overview: &Overview,
        says: &str,
        calibration: &Calibration,
    ) -> Result<(), Error> {
        if self.format == ReportFormat::Table {
            self.rows += 1;
            return self.line(&format!("signal     {says}"));
        }
        let mut row = found(channel, overview, calibration);
        for key in KEYS {
            row.insert(key.into(), Json::Null);
        }
        row.insert("statement".into(), json!(says));
        self.row(&row)
    }

    /// What to set.
    ///
    /// # Errors
    /// As the output.
    pub fn proposal<T: Sample>(
        &mut self,
        channel: usize,
        proposal: &Proposal<T>,
        options: &Options,
        reasons: &[Reason],
        words: &[String],
        calibration: &Calibration,
    ) -> Result<(), Error> {
        if self.format == ReportFormat::Table {
            return self.table(proposal, reasons, words, calibration);
        }
        let mut row = found(channel, &proposal.seen, calibration);
        let value = |typed: &Typed| json!(typed.value);
        let seconds = |samples: f64| calibration.rate.map(|rate| samples / rate);
        let period = match proposal.pattern {
            Pattern::Even { period } => Some(period),
            Pattern::Bursts(bursts) => Some(bursts.repetition),
            Pattern::None | Pattern::Once | Pattern::Irregular { .. } => None,
        };
        let values = [
            value(&options.level),
            value(&options.hysteresis),
            json!(options.slope),
            json!(options.corner.as_ref().map(|corner| corner.value)),
            json!(options.holdoff.as_ref().map(|holdoff| holdoff.value)),
            value(&options.pre),
            value(&options.post),
            json!(proposal.decimation),
            json!(period.and_then(seconds)),
            json!(period),
            json!(seconds(proposal.jitter.total())),
            json!(proposal.jitter.total()),
            json!(proposal.events),
            json!(proposal.held_off),
            json!(command(words.iter().map(String::as_str))),
            json!(proposal.intervals.and_then(|found| seconds(found.mean))),
            json!(proposal.intervals.map(|found| found.mean)),
            json!(proposal.intervals.and_then(|found| seconds(found.deviation))),
            json!(proposal.intervals.map(|found| found.deviation)),
        ];
        row.extend(KEYS.map(String::from).into_iter().zip(values));
        let whys = reasons.iter().map(|reason| (reason.name.to_owned(), json!(reason.why)));
        row.insert("reasons".into(), Json::Object(whys.collect()));
        self.row(&row)
    }

    fn table<T: Sample>(
        &mut self,
        proposal: &Proposal<T>,
        reasons: &[Reason],
        words: &[String],
        calibration: &Calibration,
    ) -> Result<(), Error> {
        self.rows += 1;
        let widest = reasons.iter().map(|reason| reason.value.chars().count()).max().unwrap_or(0);
        for Reason { name, value, why } in reasons {
            self.line(&format!("{name:<10} {value:<widest$}  {why}"))?;
        }
        let events = counted(proposal.events, "event");
        let samples = proposal.seen.samples;
        let time = calibration.rate.map(|rate| format_si(samples as f64 / rate, "s", 4));
        let time = time.map(|time| format!(" ({time})")).unwrap_or_default();
        let (held_off, samples) = (proposal.held_off, counted(samples, "sample"));
        self.line(&format!("found      {events}, {held_off} held off, in {samples}{time}"))?;
        self.line(&format!("\n{}", command(words.iter().map(String::as_str))))
    }

    fn row(&mut self, row: &Map<String, Json>) -> Result<(), Error> {
        self.rows += 1;
        if self.format == ReportFormat::Json {
            return self.line(&Json::Object(row.clone()).to_string());
        }
        let flat = || row.iter().filter(|(_, value)| !value.is_object());
        if self.rows == 1 {
            let names: Vec<&str> = flat().map(|(name, _)| name.as_str()).collect();
            self.line(&names.join(","))?;
        }
        let cell = |value: &Json| match value {
            Json::Null => String::new(),
            Json::String(text) if text.contains([',', '"', '\n']) => {
                format!("\"{}\"", text.replace('"', "\"\""))
            }
            Json::String(text) => text.clone(),
            other => other.to_string(),
        };
        let cells: Vec<String> = flat().map(|(_, value)| cell(value)).collect();
        self.line(&cells.join(","))
    }

    fn line(&mut self, text: &str) -> Result<(), Error> {
        writeln!(self.out, "{text}").map_err(|source| Error::output("standard output", source))
    }
}

/// What a proposal has: volts, seconds and hertz where they are known, counts and samples otherwise.
const KEYS: [&str; 19] = [
    "level",
    "hysteresis",
    "slope",
    "corner",
    "holdoff",
    "pre",
    "post",
    "decimation",
    "period",
    "period_samples",
    "jitter",
    "jitter_samples",
    "events",
    "held_off",
    "command",
    "interval",
    "interval_samples",
    "interval_deviation",
    "interval_deviation_samples",
];

/// What a signal is.
fn found(channel: usize, overview: &Overview, calibration: &Calibration) -> Map<String, Json> {
    let volts = |counts: f64| calibration.scale.map_or(counts, |scale| scale.volts(counts));
    let size = calibration.scale.map_or(1.0, |scale| scale.volts_per_count.abs());
    let mut row = Map::new();
    row.insert("channel".into(), json!(channel + 1));
    row.insert("moves".into(), json!(overview.moves()));
    row.insert("samples".into(), json!(overview.samples));
    row.insert("mean".into(), json!(volts(overview.mean)));
    row.insert("low".into(), json!(volts(overview.low)));
    row.insert("high".into(), json!(volts(overview.high)));
    row.insert("noise".into(), json!(overview.noise * size));
    row
}
