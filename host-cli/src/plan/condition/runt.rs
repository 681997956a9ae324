//! `--on runt`.

use super::{Ask, Lasted, Mark, Said, Sources, Told, words};
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

impl<T: Sample> Told<T> for RuntConfig<T> {
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

pub(super) fn said(polarity: Polarity, width: Span) -> Said {
    let label = match polarity {
        Polarity::Positive => "positive runt",
        Polarity::Negative => "negative runt",
    };
    let polarity = Some(polarity);
    Said { polarity, time: Some((Lasted::Width, width)), ..Said::new("runt", label) }
}
