//! Pass and fail: what a board sends, held against an expectation.

use std::path::{Path, PathBuf};

use stillwave::Instant;
use stillwave_link::Hello;

use super::{Events, News};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::expect::{Check, Expectation, Finding, Tally, Tested};
use crate::measured;
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
    /// Something was not as expected of a board that was there before.
    failed_before: bool,
    /// The last record that was not as expected, in words.
    last: Option<String>,
    /// Records that came.
    came: u64,
    /// Of the board that is there, since counts began.
    events: Events,
}

/// What came of the last board.
pub struct Outcome {
    /// Everything expected of it.
    pub tested: Tested,
    /// Its units.
    pub calibration: Calibration,
    /// Its events.
    pub events: Events,
    /// Whether all was as expected, of those that were there before as well.
    pub passed: bool,
}

impl Verdict {
    /// The expectation of that file, which is read once the board is there.
    pub fn new(path: &Path) -> Self {
        let path = path.to_owned();
        Self {
            path,
            check: None,
            failed_before: false,
            last: None,
            came: 0,
            events: Events::default(),
        }
    }

    /// What becomes of the counts where a board says that, in words; none where they go on.
    pub fn begins_anew(&self, hello: &Hello) -> Option<String> {
        let (before, _) = self.check.as_ref()?;
        let (records, failed) = self.records();
        (before != hello).then(|| {
            format!("another board ({failed} of {records} records failed before): counts anew")
        })
    }

    /// Takes what a board says; gives what was found of a record or an event.
    ///
    /// # Errors
    /// A file that cannot be read, or is no expectation.
    pub fn take(&mut self, news: &News) -> Result<Option<Found>, Error> {
        if let News::Hello(hello) = news
            && self.check.as_ref().is_none_or(|(before, _)| before != hello)
        {
            // Another board: what was counted in other units cannot go on.
            let (records, _) = self.records();
            let before = self.check.take();
            // One that sent nothing was not looked at.
            let is_tested = records > 0 || self.events.came > 0;
            let failed = before.filter(|_| is_tested).is_some_and(|(_, check)| {
                check.finish(self.events.came).tallies.iter().any(|tally| tally.failed > 0)
            });
            let failed = self.failed_before || failed;
            self.begin(*hello)?;
            self.failed_before = failed;
        }
        self.came += u64::from(matches!(news, News::Record(..)));
        self.events.take(news);
        let Some((hello, check)) = &mut self.check else { return Ok(None) };
        let calibration = calibration(hello);
        let (record, at, findings) = match news {
            News::Missed | News::Gone(_) | News::Connected => {
                check.lost();
                return Ok(None);
            }
            News::Event(event) => {
                let at = Instant::from(*event);
                let Some(finding) = check.event(at) else { return Ok(None) };
                (None, at, vec![finding])
            }
            News::Record(head, samples) => {
                let at = head.event.map_or(Instant::at(head.start), Instant::from);
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
        self.check =
            Some((hello, Check::new(expectation, &calibration, measured::config(&calibration))?));
        (self.failed_before, self.last, self.events) = (false, None, Events::default());
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

    /// The outcome of the last board; none where no board was there.
    pub fn finish(self) -> Option<Outcome> {
        let (hello, check) = self.check?;
        let (tested, events) = (check.finish(self.events.came), self.events);
        let passed = tested.passed() && !self.failed_before;
        Some(Outcome { tested, calibration: calibration(&hello), events, passed })
    }
}

fn calibration(hello: &Hello) -> Calibration {
    Calibration {
        scale: Some(hello.front().scale),
        is_counted: true,
        rate: Some(f64::from(hello.rate)),
        start_time: 0.0,
        codes: Some((0.0, f64::from(hello.highest))),
        origin: 0.0,
    }
}
