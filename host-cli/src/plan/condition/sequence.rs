//! `--on sequence`.

use super::{Ask, Described, Description, EventText, Mark, Sources};
use crate::calibration::Calibration;
use crate::error::Error;
use stillwave::{Sample, SequenceConfig, Span, Wait};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--level", "--slope", "--then", "--events", "--delay", "--timeout", "--reset"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<SequenceConfig<T>, Error> {
    let several = &ask.args.several;
    let then = several.then.ok_or_else(|| ask.missing("--then", "--then 2:rising"))?;
    let samples = |option, time| ask.calibration.whole_samples(option, time);
    let wait = Wait {
        delay: several.delay.map_or(Ok(0), |time| samples("--delay", time))?,
        events: Ask::events(several.events.unwrap_or(1))?,
        timeout: several.timeout.map(|time| samples("--timeout", time)).transpose()?,
    };
    let reset = several.reset.map(|reset| ask.other_edge("--reset", reset)).transpose()?;
    if wait.timeout.is_some_and(|timeout| timeout <= wait.delay.max(1)) {
        return Err(Error::usage(
            "--timeout is over before the second edge can come",
            "give one longer than --delay, and of 2 samples or more",
        ));
    }
    Ok(SequenceConfig {
        first: ask.edge()?.into(),
        then: ask.other_edge("--then", then)?.into(),
        wait,
        reset: reset.map(Into::into),
    })
}

impl<T: Sample> Description<T> for SequenceConfig<T> {
    fn noun(&self) -> &'static str {
        "sequence"
    }

    fn describe(&self, sources: &Sources) -> String {
        let reset = self.reset.map(|reset| {
            format!(", with no {} between", reset.description().describe_part(sources))
        });
        let [first, then] =
            [self.first, self.then].map(|event| event.description().describe_part(sources));
        let wait = waiting(self.wait, sources.calibration());
        format!("{then}, after a {first}{wait}{}", reset.unwrap_or_default())
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.first.description().marks(sources)
    }

    fn bounds(&self) -> Option<[&'static str; 2]> {
        Some(["--delay", "--timeout"])
    }
}

fn waiting(Wait { delay, events, timeout }: Wait, calibration: &Calibration) -> String {
    let time = |samples: u64| calibration.show_time(samples as f64);
    let delay = if delay > 0 { format!(" and {}", time(delay)) } else { String::new() };
    let events = if events > 1 { format!(", number {events}") } else { String::new() };
    let timeout = timeout.map(|timeout| format!(", within {}", time(timeout)));
    format!("{delay}{events}{}", timeout.unwrap_or_default())
}

pub(super) fn event_text(time: Span) -> EventText {
    EventText::lasting("sequence", "sequence", time)
}
