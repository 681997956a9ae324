//! `--on interval`.

use super::{Ask, Description, EventText, Mark, Sources, TimeKind, words};
use crate::error::Error;
use stillwave::{IntervalConfig, Sample, Slope, Span};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--level", "--slope", "--shorter-than", "--longer-than", "--within", "--outside"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<IntervalConfig<T>, Error> {
    let time = ask.comparison_of("a time")?;
    Ok(IntervalConfig { slope: ask.slope(), level: ask.level()?, time })
}

impl<T: Sample> Description<T> for IntervalConfig<T> {
    fn noun(&self) -> &'static str {
        "interval"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let (slope, time) = (words::slope(self.slope), words::comparison(self.time, calibration));
        format!("interval of {slope} edges {time} {}", words::level(&self.level, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::level_marks(&self.level, self.slope)
    }
}

pub(super) fn event_text(slope: Slope, time: Span) -> EventText {
    let label = match slope {
        Slope::Rising => "rising interval",
        Slope::Falling => "falling interval",
    };
    let slope = Some(slope);
    EventText { slope, time: Some((TimeKind::Interval, time)), ..EventText::new("interval", label) }
}
