//! What came of a check: expected beside found.

use std::io::{self, Write};

use serde_json::{Map, Value as Json, json};
use stillwave::expect::Limit;
use stillwave::measure::Value;

use crate::args::ReportFormat;
use crate::calibration::Calibration;
use crate::expect::{Finding, Subject, Tally, Tested};
use crate::measured::Unit;
use crate::quantity::{counted, number_of};

/// Failing records that are named one by one for people.
const NAMED: usize = 10;

/// Where a checked record, or the second of two events, stands.
#[derive(Debug, Clone, Copy)]
pub struct Checked {
    /// The record, from 1, as files are numbered; `None` for what is said of events.
    pub record: Option<u64>,
    /// The instant it is aligned on, in samples.
    pub crossing: f64,
}

/// Writes findings as they come, and the outcome at the end.
pub struct CheckReport<W> {
    out: W,
    format: ReportFormat,
    calibration: Calibration,
    begun: bool,
    /// The first failures, in words, and how many more there were.
    failures: Vec<String>,
    more: u64,
}

impl<W: Write> CheckReport<W> {
    /// A report to `out`.
    pub fn new(out: W, format: ReportFormat, calibration: Calibration) -> Self {
        Self { out, format, calibration, begun: false, failures: Vec::new(), more: 0 }
    }

    /// Writes what was found of one record, or of one event.
    ///
    /// # Errors
    /// As the output.
    pub fn write(&mut self, at: Checked, findings: &[Finding]) -> io::Result<()> {
        let passed = findings.iter().all(|finding| finding.passed);
        match self.format {
            ReportFormat::Json if at.record.is_some() => {
                self.write_json(at, findings, passed)?;
            }
            ReportFormat::Csv => self.write_csv(at, findings)?,
            ReportFormat::Json | ReportFormat::Table => {}
        }
        if !passed && self.failures.len() < NAMED {
            let words = self.describe(at, findings);
            self.failures.push(words);
        } else if !passed {
            self.more += 1;
        }
        Ok(())
    }

    /// Writes the outcome, of so many events; `without_record` of them have none, where that is known.
    ///
    /// # Errors
    /// As the output.
    pub fn finish(
        mut self,
        tested: &Tested,
        events: u64,
        without_record: Option<u64>,
    ) -> io::Result<W> {
        match self.format {
            ReportFormat::Table => self.write_table(tested)?,
            ReportFormat::Json => {
                let checks = tested
                    .tallies
                    .iter()
                    .map(|tally| (tally.subject.key().to_owned(), tally_json(tally)));
                let mut row = json!({
                    "records": tested.records,
                    "failed_records": tested.failed_records,
                    "events": events,
                    "passed": tested.passed(),
                    "checks": Json::Object(checks.collect()),
                });
                if let (Some(without_record), Json::Object(row)) = (without_record, &mut row) {
                    row.insert("events_without_record".into(), json!(without_record));
                }
                writeln!(self.out, "{row}")?;
            }
            ReportFormat::Csv => {
                let count = tested.tallies.iter().find(|t| t.subject == Subject::Count);
                if let Some(tally) = count {
                    let finding = Finding {
                        subject: tally.subject,
                        limit: tally.limit,
                        found: tally.found.total().map(|range| range.mean),
                        range: None,
                        margin: tally.margin.ok_or(stillwave::measure::Reason::Empty),
                        passed: tally.passed(),
                        first: None,
                    };
                    self.csv_header()?;
                    self.csv_row(",,", &finding)?;
                }
            }
        }
        Ok(self.out)
    }

    fn write_json(&mut self, at: Checked, findings: &[Finding], passed: bool) -> io::Result<()> {
        let checks = findings.iter().map(|finding| {
            let mut check = Map::new();
            ends(&mut check, finding.limit);
            check.insert("found".into(), json!(finding.found.ok()));
            check.insert("margin".into(), json!(finding.margin.ok()));
            check.insert("passed".into(), json!(finding.passed));
            let reason = finding.margin.err().map(|reason| finding.subject.why(reason));
            check.insert("reason".into(), json!(reason));
            if let Some((samples, above)) = finding.first {
                let time = self.calibration.rate.map(|rate| samples / rate);
                check.insert("first_samples".into(), json!(samples));
                check.insert("first_time".into(), json!(time));
                check.insert("first_side".into(), json!(if above { "above" } else { "below" }));
            }
            (finding.subject.key().to_owned(), Json::Object(check))
        });
        let row = json!({
            "record": at.record,
            "crossing": at.crossing,
            "time": self.calibration.time(at.crossing),
            "passed": passed,
            "checks": Json::Object(checks.collect()),
        });
        writeln!(self.out, "{row}")
    }

    fn csv_header(&mut self) -> io::Result<()> {
        if std::mem::replace(&mut self.begun, true) {
            return Ok(());
        }
        writeln!(self.out, "record,crossing,time,check,least,greatest,found,margin,passed,reason")
    }

    fn write_csv(&mut self, at: Checked, findings: &[Finding]) -> io::Result<()> {
        self.csv_header()?;
        let time = self.calibration.time(at.crossing);
        let record = at.record.map(|record| record.to_string()).unwrap_or_default();
        let place = format!("{record},{},{}", at.crossing, cell(time));
        findings.iter().try_for_each(|finding| self.csv_row(&place, finding))
    }

    fn csv_row(&mut self, place: &str, finding: &Finding) -> io::Result<()> {
        let limit = finding.limit.unwrap_or(Limit { least: None, greatest: None });
        let reason = finding.margin.err();
        let reason = reason.map(|reason| finding.subject.why(reason)).unwrap_or_default();
        writeln!(
            self.out,
            "{place},{},{},{},{},{},{},{reason}",
            finding.subject.key(),
            cell(limit.least),
            cell(limit.greatest),
            cell(finding.found.ok()),
            cell(finding.margin.ok()),
            finding.passed,
        )
    }

    fn write_table(&mut self, tested: &Tested) -> io::Result<()> {
        let names = tested.tallies.iter().map(|tally| tally.subject.name().len() + 1);
        let names = names.max().unwrap_or(0).max(16);
        writeln!(
            self.out,
            "\n{:<names$}{:>27}{:>27}{:>14}{:>9}",
            "", "expected", "found", "margin", "compared"
        )?;
        for tally in &tested.tallies {
            let outcome = if tally.passed() { "pass" } else { "FAIL" };
            let (expected, found) =
                (expected(tally, &self.calibration), found(tally, &self.calibration));
            let margin = tally.margin.map_or("-".to_owned(), |margin| {
                tally.subject.margin_unit().show(margin, &self.calibration)
            });
            write!(
                self.out,
                "{:<names$}{expected:>27}{found:>27}{margin:>14}{:>9}  {outcome}",
                tally.subject.name(),
                tally.compared,
            )?;
            writeln!(self.out, "{}", why(tally))?;
        }
        if !self.failures.is_empty() {
            writeln!(self.out)?;
        }
        for failure in &self.failures {
            writeln!(self.out, "failed     {failure}")?;
        }
        if self.more > 0 {
            writeln!(self.out, "           and {} more", self.more)?;
        }
        Ok(())
    }

    /// `record 173 at 3.4707 s: positive width 599.5 µs`.
    fn describe(&self, at: Checked, findings: &[Finding]) -> String {
        let place = match self.calibration.time(at.crossing) {
            Some(time) => format!("at {time:.6} s"),
            None => format!("at sample {:.3}", at.crossing),
        };
        let who = match at.record {
            Some(record) => format!("record {record}"),
            None => "event".to_owned(),
        };
        let failed = findings.iter().filter(|finding| !finding.passed);
        let words: Vec<_> = failed.map(|finding| words(finding, &self.calibration)).collect();
        format!("{who} {place}: {}", words.join(", "))
    }
}

/// What was found, in words.
pub fn words(finding: &Finding, calibration: &Calibration) -> String {
    let name = finding.subject.name();
    match (finding.subject, finding.found, finding.first) {
        (Subject::Mask, Ok(outside), Some((samples, above))) => {
            let side = if above { "above" } else { "below" };
            let time = calibration.rate.map_or(samples, |rate| samples / rate);
            let time = Unit::Time.show(time, calibration).replace('-', "\u{2212}");
            let samples = number_of(outside, "sample");
            format!("{samples} outside the mask, the first {side} it at {time}")
        }
        (Subject::Mask, ..) => match finding.margin {
            Err(reason) => format!("mask: {reason}"),
            Ok(_) => "mask".to_owned(),
        },
        (_, Ok(found), _) => format!("{name} {}", finding.subject.unit().show(found, calibration)),
        (_, Err(reason), _) => format!("{name}: {}", finding.subject.why(reason)),
    }
}

/// What should be, in words.
pub(super) fn expected(tally: &Tally, calibration: &Calibration) -> String {
    let show = |value| tally.subject.unit().show(value, calibration);
    match tally.limit.map(|limit| (limit.least, limit.greatest)) {
        Some((Some(least), Some(greatest))) if least == greatest => show(least),
        Some((Some(least), Some(greatest))) => format!("{} to {}", show(least), show(greatest)),
        Some((Some(least), None)) => format!("at least {}", show(least)),
        Some((None, Some(greatest))) => format!("at most {}", show(greatest)),
        Some((None, None)) | None => "within its bounds".to_owned(),
    }
}

/// What is, in words: from the least to the greatest found.
pub(super) fn found(tally: &Tally, calibration: &Calibration) -> String {
    if tally.subject == Subject::Mask {
        return match tally.failed {
            0 => "within the bounds".to_owned(),
            n => format!("{} outside", counted(n, "record")),
        };
    }
    let show =
        |value: Value| value.map_or("-".to_owned(), |v| tally.subject.unit().show(v, calibration));
    let total = tally.found.total();
    let least = show(total.map(|range| range.least));
    let greatest = show(total.map(|range| range.greatest));
    if least == greatest { least } else { format!("{least} to {greatest}") }
}

/// How often it failed, and why there was no value.
pub(super) fn why(tally: &Tally) -> String {
    if tally.compared == 0 {
        return " (nothing to compare)".to_owned();
    }
    let mut parts = Vec::new();
    if tally.failed > 0 && tally.compared > 1 {
        parts.push(format!("{} of {}", tally.failed, tally.compared));
    }
    parts.extend(tally.reasons.iter().map(|(reason, count)| format!("{count} × {reason}")));
    if parts.is_empty() { String::new() } else { format!(" ({})", parts.join(", ")) }
}

fn ends(check: &mut Map<String, Json>, limit: Option<Limit>) {
    if let Some(limit) = limit {
        check.insert("least".into(), json!(limit.least));
        check.insert("greatest".into(), json!(limit.greatest));
    }
}

fn cell(value: Option<f64>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

fn tally_json(tally: &Tally) -> Json {
    let mut check = Map::new();
    ends(&mut check, tally.limit);
    let total = tally.found.total().ok();
    check.insert("minimum".into(), json!(total.map(|range| range.least)));
    check.insert("maximum".into(), json!(total.map(|range| range.greatest)));
    check.insert("mean".into(), json!(total.map(|range| range.mean)));
    check.insert("margin".into(), json!(tally.margin));
    check.insert("compared".into(), json!(tally.compared));
    check.insert("failed".into(), json!(tally.failed));
    check.insert("passed".into(), json!(tally.passed()));
    Json::Object(check)
}
