//! `--on delay`.

use super::{Ask, Described, Description, EventText, Mark, Sources, words};
use crate::error::Error;
use stillwave::{DelayConfig, Sample, Span};

pub(super) const OPTIONS: &[&str] = &[
    "--while",
    "--level",
    "--slope",
    "--to",
    "--shorter-than",
    "--longer-than",
    "--within",
    "--outside",
];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<DelayConfig<T>, Error> {
    let to = ask.args.several.to.ok_or_else(|| ask.missing("--to", "--to 2:rising"))?;
    Ok(DelayConfig {
        from: ask.edge()?.into(),
        to: ask.other_edge("--to", to)?.into(),
        time: ask.comparison_of("a time")?,
    })
}

impl<T: Sample> Description<T> for DelayConfig<T> {
    fn noun(&self) -> &'static str {
        "delay"
    }

    fn describe(&self, sources: &Sources) -> String {
        let time = words::comparison(self.time, sources.calibration());
        let [from, to] =
            [self.from, self.to].map(|event| event.description().describe_part(sources));
        format!("{time} from a {from} to a {to}")
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.from.description().marks(sources)
    }
}

pub(super) fn event_text(time: Span) -> EventText {
    EventText::lasting("delay", "delay", time)
}
