//! `--on pulse`.

use super::{Ask, Description, EventText, Mark, Sources, TimeKind, words};
use crate::error::Error;
use stillwave::{Polarity, PulseConfig, Sample, Span};

pub(super) const OPTIONS: &[&str] = &[
    "--while",
    "--level",
    "--polarity",
    "--shorter-than",
    "--longer-than",
    "--within",
    "--outside",
];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<PulseConfig<T>, Error> {
    let width = ask.comparison_of("a width")?;
    Ok(PulseConfig { polarity: ask.polarity(), level: ask.level()?, width })
}

impl<T: Sample> Description<T> for PulseConfig<T> {
    fn noun(&self) -> &'static str {
        "pulse"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let polarity = words::polarity(self.polarity);
        let width = words::comparison(self.width, calibration);
        format!("{polarity} pulse {width} {}", words::level(&self.level, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::level_marks(&self.level, self.polarity.begins())
    }
}

pub(super) fn event_text(polarity: Polarity, width: Span) -> EventText {
    let label = match polarity {
        Polarity::Positive => "positive pulse",
        Polarity::Negative => "negative pulse",
    };
    let polarity = Some(polarity);
    EventText { polarity, time: Some((TimeKind::Width, width)), ..EventText::new("pulse", label) }
}
