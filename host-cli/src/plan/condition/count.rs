//! `--on count`.

use super::{Ask, Described, Description, EventText, Mark, Sources};
use crate::error::Error;
use stillwave::{CountConfig, CountSince, Sample};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--level", "--slope", "--events", "--quiet", "--since"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<CountConfig<T>, Error> {
    let several = &ask.args.several;
    let events = Ask::events(several.events.ok_or_else(|| ask.missing("--events", "--events 3"))?)?;
    let since = match (several.quiet, several.since) {
        (Some(quiet), _) => CountSince::Quiet(ask.calibration.whole_samples("--quiet", quiet)?),
        (None, Some(since)) => CountSince::Other(ask.other_edge("--since", since)?.into()),
        (None, None) => CountSince::Start,
    };
    Ok(CountConfig { of: ask.edge()?.into(), events, since })
}

impl<T: Sample> Description<T> for CountConfig<T> {
    fn noun(&self) -> &'static str {
        "edge"
    }

    fn describe(&self, sources: &Sources) -> String {
        let since = match self.since {
            CountSince::Start => "the start".to_owned(),
            CountSince::Quiet(quiet) => {
                format!("{} without one", sources.calibration().show_time(quiet as f64))
            }
            CountSince::Other(other) => format!("a {}", other.description().describe_part(sources)),
        };
        format!(
            "event {} since {since}: a {}",
            self.events,
            self.of.description().describe_part(sources)
        )
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.of.description().marks(sources)
    }

    fn counted(&self) -> Option<CountConfig<T>> {
        Some(*self)
    }
}

pub(super) fn event_text(events: u32) -> EventText {
    EventText { events: Some(events), ..EventText::new("count", "count") }
}
