//! `--on transition`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::error::Error;
use stillwave::{Sample, Slope, Span, TransitionConfig};

pub(super) const OPTIONS: &[&str] = &[
    "--while",
    "--low",
    "--high",
    "--slope",
    "--shorter-than",
    "--longer-than",
    "--within",
    "--outside",
];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<TransitionConfig<T>, Error> {
    let time = ask.comparison_of("a time")?;
    Ok(TransitionConfig { slope: ask.slope(), band: ask.band()?, time })
}

impl<T: Sample> Description<T> for TransitionConfig<T> {
    fn noun(&self) -> &'static str {
        "transition"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let (slope, time) = (words::slope(self.slope), words::comparison(self.time, calibration));
        format!("{slope} transition {time}, levels {}", words::band(&self.band, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::band_marks(&self.band, self.slope)
    }
}

pub(super) fn event_text(slope: Slope, time: Span) -> EventText {
    let label = match slope {
        Slope::Rising => "rising transition",
        Slope::Falling => "falling transition",
    };
    EventText { slope: Some(slope), ..EventText::lasting("transition", label, time) }
}
