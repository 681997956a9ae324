//! How many edges come in a row, where a condition counts them.

use crate::error::Error;
use crate::plan::{Coupled, Described, TriggerPlan};
use crate::quantity::{counted, format_si};
use stillwave::{AnyCondition, CountConfig, CountSince, Event, Holdoff, Sample, Trigger};

/// The edges from each beginning to the next.
pub(super) struct Bursts<T: Sample> {
    /// The edge that is asked for.
    wanted: u64,
    /// Samples without an edge that come before a beginning.
    quiet: Option<u64>,
    /// What begins a count.
    beginnings: Option<Trigger<Coupled<AnyCondition<T>>>>,
    /// Edges since the last beginning; none before the first.
    now: Option<u64>,
    last: u64,
    /// How many counts there were.
    count: u64,
    /// Edges of the longest, and where its last is.
    longest: (u64, u64),
}

impl<T: Sample> Bursts<T> {
    /// Of a plan whose condition counts.
    pub(super) fn of(plan: &TriggerPlan<T>) -> Result<Option<Self>, Error> {
        let Some(CountConfig { events, since, .. }) = plan.setup.description().counted() else {
            return Ok(None);
        };
        let (quiet, beginnings, now) = match since {
            CountSince::Start => (None, None, Some(0)),
            CountSince::Quiet(quiet) => (Some(quiet), None, None),
            CountSince::Other(other) => {
                let other = plan.coupled(other.build()?)?;
                (None, Some(Trigger::new(other, Holdoff::None)?), None)
            }
        };
        let wanted = events.into();
        Ok(Some(Self { wanted, quiet, beginnings, now, last: 0, count: 0, longest: (0, 0) }))
    }

    /// Takes the edges of the next samples.
    pub(super) fn see(&mut self, channels: &[&[T]], edges: &[Event]) {
        let mut begins = Vec::new();
        if let Some(beginnings) = &mut self.beginnings {
            beginnings.push_channels(channels, |event| begins.push(event.at.position));
        }
        let mut begins = begins.into_iter().peekable();
        for edge in edges {
            let at = edge.at.position;
            // An edge at the same sample belongs to the count before.
            while begins.next_if(|begin| *begin < at).is_some() {
                self.begin();
            }
            if self.quiet.is_some_and(|quiet| at >= self.last.saturating_add(quiet)) {
                self.begin();
            }
            self.last = at;
            let Some(now) = &mut self.now else { continue };
            *now += 1;
            if *now > self.longest.0 {
                self.longest = (*now, at);
            }
        }
        begins.for_each(|_| self.begin());
    }

    fn begin(&mut self) {
        self.now = Some(0);
        self.count += 1;
    }

    /// What they come to.
    pub(super) fn words(&self, rate: Option<f64>) -> String {
        let (edges, at) = self.longest;
        if edges == 0 {
            return match self.count {
                0 => "no edge began a count".to_owned(),
                count => format!("{}, without an edge in any", counted(count, "count")),
            };
        }
        let time = rate.map(|rate| format!(" ({})", format_si(at as f64 / rate, "s", 6)));
        let longest = format!(
            "{}, the last at sample {at}{}",
            counted(edges, "edge"),
            time.unwrap_or_default()
        );
        let wanted = self.wanted;
        match self.count {
            0 => format!("there are {longest}; edge {wanted} is wanted"),
            count => {
                let counts = counted(count, "count");
                format!("{counts}, the longest of {longest}; edge {wanted} is wanted")
            }
        }
    }

    /// The longest count, where it is not long enough.
    pub(super) fn most(&self) -> Option<u64> {
        let (edges, _) = self.longest;
        (edges > 0 && edges < self.wanted).then_some(edges)
    }
}
