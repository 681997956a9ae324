//! Events and records held against an expectation.

use std::collections::BTreeMap;

use stillwave::expect::{Limit, Mask, MaskFault, MaskSide, MaskVerdict};
use stillwave::measure::{Config, Reason, Value};
use stillwave::{Instant, Sample};

use super::Expectation;
use super::corners::{Points, in_samples};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::measured::{Measurer, QUANTITIES, Quantity, Range, Ranges, Unit};

/// What is expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A quantity, by its place among [`QUANTITIES`].
    Quantity(usize),
    /// The bounds over time.
    Mask,
    /// The number of events.
    Count,
    /// The time between events.
    Apart,
}

/// One thing expected, and what was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding {
    /// What was expected.
    pub subject: Subject,
    /// What it should be; none for a mask.
    pub limit: Option<Limit>,
    /// What it is: of the cycles of a record the one nearest to not being so, or farthest beyond;
    /// for a mask, the number of samples outside.
    pub found: Value,
    /// What it is in a record, from cycle to cycle.
    pub range: Option<Range>,
    /// How far it is from not being so, or how far beyond.
    pub margin: Value,
    /// Whether it is as expected.
    pub passed: bool,
    /// The first sample outside a mask: samples from the trigger, and whether above.
    pub first: Option<(f64, bool)>,
}

/// What came of one thing expected, over all records or events.
#[derive(Debug, Clone)]
pub struct Tally {
    /// What was expected.
    pub subject: Subject,
    /// What it should be; none for a mask.
    pub limit: Option<Limit>,
    /// The values found.
    pub found: Ranges,
    /// The least margin.
    pub margin: Option<f64>,
    /// How often it was compared.
    pub compared: u64,
    /// How often it was not as expected.
    pub failed: u64,
    /// How often there was no value, by reason.
    pub reasons: BTreeMap<String, u64>,
}

impl Tally {
    fn new(subject: Subject, limit: Option<Limit>) -> Self {
        Self {
            subject,
            limit,
            found: Ranges::default(),
            margin: None,
            compared: 0,
            failed: 0,
            reasons: BTreeMap::new(),
        }
    }

    /// Whether it was compared, and always as expected.
    pub fn passed(&self) -> bool {
        self.compared > 0 && self.failed == 0
    }

    fn add(&mut self, finding: &Finding) {
        self.compared += 1;
        self.failed += u64::from(!finding.passed);
        self.found.push(match finding.range {
            Some(range) => Ok(range),
            None => finding.found.map(Range::of),
        });
        match finding.margin {
            Ok(margin) => {
                self.margin = Some(self.margin.map_or(margin, |least| least.min(margin)));
                if let Err(reason) = finding.found {
                    *self.reasons.entry(finding.subject.why(reason)).or_default() += 1;
                }
            }
            Err(reason) => *self.reasons.entry(finding.subject.why(reason)).or_default() += 1,
        }
    }
}

/// The outcome of a check.
#[derive(Debug, Clone)]
pub struct Tested {
    /// What came of everything expected, in the order in which it is shown.
    pub tallies: Vec<Tally>,
    /// Records looked at.
    pub records: u64,
    /// Records with something not as expected.
    pub failed_records: u64,
}

impl Tested {
    /// Whether all is as expected.
    pub fn passed(&self) -> bool {
        self.tallies.iter().all(Tally::passed)
    }
}

/// A check under way.
pub struct Check<T: Sample> {
    expectation: Expectation,
    mask: Option<(Points<T>, Points<T>)>,
    calibration: Calibration,
    measurer: Measurer,
    last_event: Option<Instant>,
    apart: Option<Tally>,
    /// Of quantities, then of the mask.
    tallies: Vec<Tally>,
    records: u64,
    failed_records: u64,
}

impl<T: Sample> Check<T> {
    /// A check of samples of that calibration.
    ///
    /// # Errors
    /// A mask that samples cannot be near.
    pub fn new(
        expectation: Expectation,
        calibration: &Calibration,
        config: Config,
    ) -> Result<Self, Error> {
        let corners = expectation.mask.as_ref();
        let mask = corners.map(|corners| corners.points::<T>(calibration)).transpose()?;
        if let Some((upper, lower)) = &mask {
            Mask::<T>::new(upper, lower)?;
        }
        let quantities = expectation.limits.iter();
        let mut tallies: Vec<_> = quantities
            .map(|&(index, limit)| Tally::new(Subject::Quantity(index), Some(limit)))
            .collect();
        tallies.extend(mask.as_ref().map(|_| Tally::new(Subject::Mask, None)));
        Ok(Self {
            mask,
            calibration: *calibration,
            measurer: Measurer::new(expectation.quantities(), calibration, config)?.with_ranges(),
            last_event: None,
            apart: expectation.apart.map(|limit| Tally::new(Subject::Apart, Some(limit))),
            tallies,
            records: 0,
            failed_records: 0,
            expectation,
        })
    }

    /// Looks at the next event. What its distance to the one before is, if that is expected.
    pub fn event(&mut self, at: Instant) -> Option<Finding> {
        let last = self.last_event.replace(at)?;
        let tally = self.apart.as_mut()?;
        let samples = at.since(last).to_samples();
        let apart = self.calibration.rate.map_or(samples, |rate| samples / rate);
        let finding = limited(Subject::Apart, tally.limit?, Ok(apart));
        tally.add(&finding);
        Some(finding)
    }

    /// Events were lost: the next has none before it.
    pub fn lost(&mut self) {
        self.last_event = None;
    }

    /// Looks at a record's samples, of which the first is at a time from the event, in 1/65536 of a
    /// sample: what was found of everything expected.
    pub fn record(&mut self, samples: &[T], first_time: i64) -> Vec<Finding> {
        let mut findings = Vec::with_capacity(self.tallies.len());
        if !self.expectation.limits.is_empty() {
            let found = self.measurer.measure(samples);
            for &(index, limit) in &self.expectation.limits {
                let Some(quantity) = QUANTITIES.get(index) else { continue };
                let range = quantity.range(&found);
                let mut finding = within(Subject::Quantity(index), limit, range);
                // What is known is only that it is not more: no value to show.
                if let below @ Err(Reason::BelowNoise) = (quantity.of)(&found) {
                    (finding.found, finding.range) = (below, None);
                }
                findings.push(finding);
            }
        }
        if let Some((upper, lower)) = &self.mask
            && let Ok(mask) = Mask::<T>::new(upper, lower)
        {
            findings.push(self.masked(&mask.test(samples, first_time)));
        }
        for (tally, finding) in self.tallies.iter_mut().zip(&findings) {
            tally.add(finding);
        }
        self.records += 1;
        self.failed_records += u64::from(findings.iter().any(|finding| !finding.passed));
        findings
    }

    fn masked(&self, verdict: &MaskVerdict) -> Finding {
        let size = self.calibration.scale.map_or(1.0, |scale| scale.volts_per_count.abs());
        let not_finite = if verdict.non_finite > 0 { Err(Reason::NotFinite) } else { Ok(()) };
        let above =
            |fault: MaskFault| (fault.side == MaskSide::Above) != self.calibration.inverts();
        Finding {
            subject: Subject::Mask,
            limit: None,
            found: Ok(verdict.outside as f64),
            range: None,
            margin: not_finite.and(verdict.margin.map(|counts| counts * size)),
            passed: verdict.passed(),
            first: verdict.first.map(|fault| (in_samples(fault.time), above(fault))),
        }
    }

    /// What has come of everything expected so far, but for the number of events.
    pub fn tallies(&self) -> impl Iterator<Item = &Tally> {
        self.tallies.iter().chain(&self.apart)
    }

    /// Records looked at so far, and how many of them had something not as expected.
    pub fn records(&self) -> (u64, u64) {
        (self.records, self.failed_records)
    }

    /// The outcome, when `events` were accepted in all.
    pub fn finish(self, events: u64) -> Tested {
        let mut tallies = self.tallies;
        if let Some(limit) = self.expectation.count {
            let mut tally = Tally::new(Subject::Count, Some(limit));
            tally.add(&limited(Subject::Count, limit, Ok(events as f64)));
            tallies.push(tally);
        }
        tallies.extend(self.apart);
        Tested { tallies, records: self.records, failed_records: self.failed_records }
    }
}

/// Both ends of a range must be within the limit.
fn within(subject: Subject, limit: Limit, range: Result<Range, Reason>) -> Finding {
    let ends = range.map(|range| [range.least, range.greatest]);
    let [least, greatest] = match ends {
        Ok(ends) => ends.map(|end| limited(subject, limit, Ok(end))),
        Err(reason) => return limited(subject, limit, Err(reason)),
    };
    let is_least = least.margin.ok() <= greatest.margin.ok();
    Finding { range: range.ok(), ..if is_least { least } else { greatest } }
}

fn limited(subject: Subject, limit: Limit, found: Value) -> Finding {
    let verdict = limit.check(found);
    let (margin, passed) = (verdict.margin, verdict.passed);
    Finding { subject, limit: Some(limit), found, range: None, margin, passed, first: None }
}

impl Subject {
    fn quantity(self) -> Option<&'static Quantity> {
        match self {
            Self::Quantity(index) => QUANTITIES.get(index),
            _ => None,
        }
    }

    /// Its key in JSON, CSV and `JUnit` XML: `frequency`, `mask`, `events.apart`.
    pub fn key(self) -> &'static str {
        match self {
            Self::Quantity(_) => self.quantity().map_or("", |quantity| quantity.key),
            Self::Mask => "mask",
            Self::Count => "events.count",
            Self::Apart => "events.apart",
        }
    }

    /// Why it has no value, for people.
    pub fn why(self, reason: Reason) -> String {
        self.quantity().map_or_else(|| reason.to_string(), |quantity| quantity.why(reason))
    }

    /// Its name for people.
    pub fn name(self) -> &'static str {
        match self {
            Self::Quantity(_) => self.quantity().map_or("", |quantity| quantity.name),
            Self::Mask => "mask",
            Self::Count => "events",
            Self::Apart => "events apart",
        }
    }

    /// The unit of what is found.
    pub fn unit(self) -> Unit {
        match self {
            Self::Quantity(_) => self.quantity().map_or(Unit::Ratio, |quantity| quantity.unit),
            Self::Mask | Self::Count => Unit::Count,
            Self::Apart => Unit::Time,
        }
    }

    /// The unit of its margin.
    pub fn margin_unit(self) -> Unit {
        match self {
            Self::Mask => Unit::Difference,
            _ => self.unit(),
        }
    }
}
