//! Pass and fail: what a board sends, held against an expectation.

use std::path::{Path, PathBuf};

use stillwave::Instant;
use stillwave_link::{EventAt, Hello};

use super::News;
use crate::calibration::Calibration;
use crate::error::Error;
use crate::expect::{Check, Expectation, Finding, Tally, Tested};
use crate::report::Checked;

/// What was found of one record or event, and in which units.
pub struct Found {
    /// Where it stands.
    pub at: Checked,
    /// Everything expected of it.
    pub findings: Vec<Finding>,
    /// The board's.
    pub calibration: Calibration,
}

/// An expectation from a file, and what has come of it.
pub struct Verdict {
    path: PathBuf,
    /// Once the board has said what its counts are.
    check: Option<(Hello, Check<u16>)>,
    /// The last record that was not as expected, in words.
    last: Option<String>,
    /// Records that came.
    came: u64,
}

impl Verdict {
    /// The expectation of that file, which is read once the board is there.
    pub fn new(path: &Path) -> Self {
        Self { path: path.to_owned(), check: None, last: None, came: 0 }
    }

    /// Takes what a board says; gives what was found of a record or an event.
    ///
    /// # Errors
    /// A file that cannot be read, or is no expectation.
    pub fn take(&mut self, news: &News) -> Result<Option<Found>, Error> {
        if let News::Hello(hello) = news
            && self.check.as_ref().is_none_or(|(before, _)| before != hello)
        {
            // Another board: what was counted in other units is no more.
            self.begin(*hello)?;
        }
        self.came += u64::from(matches!(news, News::Record(..)));
        let Some((hello, check)) = &mut self.check else { return Ok(None) };
        let calibration = calibration(hello);
        let (record, at, findings) = match news {
            News::Missed | News::Gone(_) | News::Connected => {
                check.lost();
                return Ok(None);
            }
            News::Event(event) => {
                let at = instant(*event);
                let Some(finding) = check.event(at) else { return Ok(None) };
                (None, at, vec![finding])
            }
            News::Record(head, samples) => {
                let at = head.event.map_or(Instant::at(head.start), instant);
                let before = at.position.saturating_sub(head.start).cast_signed() << 16;
                let findings = check.record(samples, i64::from(at.lead) - before);
                (Some(self.came), at, findings)
            }
            _ => return Ok(None),
        };
        let at = Checked { record, crossing: at.samples() };
        if let Some(finding) = findings.iter().find(|finding| !finding.passed) {
            self.last = Some(crate::report::words(finding, &calibration));
        }
        Ok(Some(Found { at, findings, calibration }))
    }

    /// Counts anew.
    ///
    /// # Errors
    /// As [`take`](Self::take).
    pub fn restart(&mut self) -> Result<(), Error> {
        self.check.as_ref().map(|(hello, _)| *hello).map_or(Ok(()), |hello| self.begin(hello))
    }

    fn begin(&mut self, hello: Hello) -> Result<(), Error> {
        let calibration = calibration(&hello);
        let expectation = Expectation::read(&self.path, &calibration)?;
        self.check = Some((hello, Check::new(expectation, &calibration)?));
        self.last = None;
        Ok(())
    }

    /// Records looked at, and how many of them had something not as expected.
    pub fn records(&self) -> (u64, u64) {
        self.check.as_ref().map_or((0, 0), |(_, check)| check.records())
    }

    /// Everything expected that was not so, with how often.
    pub fn failed(&self) -> impl Iterator<Item = &Tally> {
        let tallies = self.check.iter().flat_map(|(_, check)| check.tallies());
        tallies.filter(|tally| tally.failed > 0)
    }

    /// What was not as expected last, in words.
    pub fn last(&self) -> Option<&str> {
        self.last.as_deref()
    }

    /// The outcome, when so many events came; none where no board was there.
    pub fn finish(self, events: u64) -> Option<(Tested, Calibration)> {
        let (hello, check) = self.check?;
        Some((check.finish(events), calibration(&hello)))
    }
}

fn instant(event: EventAt) -> Instant {
    Instant { position: event.position, lead: event.lead }
}

fn calibration(hello: &Hello) -> Calibration {
    Calibration {
        scale: Some(stillwave::Scale { volts_per_count: hello.volts_per_count, zero: hello.zero }),
        rate: Some(f64::from(hello.rate)),
        start_time: 0.0,
        codes: Some((0.0, f64::from(hello.highest))),
        origin: 0.0,
    }
}
