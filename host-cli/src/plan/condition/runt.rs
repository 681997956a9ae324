//! `--on runt`.

use super::{Ask, Description, EventText, Mark, Sources, TimeKind, words};
use crate::error::Error;
use stillwave::{Polarity, RuntConfig, Sample, Span};

pub(super) const OPTIONS: &[&str] = &[
    "--while",
    "--low",
    "--high",
    "--polarity",
    "--shorter-than",
    "--longer-than",
    "--within",
    "--outside",
];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<RuntConfig<T>, Error> {
    let width = ask.comparison()?;
    Ok(RuntConfig { polarity: ask.polarity(), band: ask.band()?, width })
}

impl<T: Sample> Description<T> for RuntConfig<T> {
    fn noun(&self) -> &'static str {
        "runt"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let polarity = words::polarity(self.polarity);
        let width = self.width.map(|width| format!(" {}", words::comparison(width, calibration)));
        let width = width.unwrap_or_default();
        format!("{polarity} runt{width}, levels {}", words::band(&self.band, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::runt_marks(&self.band, self.polarity.begins())
    }

    fn avoids_every_other_level(&self) -> bool {
        true
    }
}

pub(super) fn event_text(polarity: Polarity, width: Span) -> EventText {
    let label = match polarity {
        Polarity::Positive => "positive runt",
        Polarity::Negative => "negative runt",
    };
    let polarity = Some(polarity);
    EventText { polarity, time: Some((TimeKind::Width, width)), ..EventText::new("runt", label) }
}
