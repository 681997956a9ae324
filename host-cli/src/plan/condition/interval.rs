//! `--on interval`.

use super::{Ask, Lasted, Mark, Said, Sources, Told, words};
use crate::error::Error;
use stillwave::{IntervalConfig, Sample, Slope, Span};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--level", "--slope", "--shorter-than", "--longer-than", "--within", "--outside"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<IntervalConfig<T>, Error> {
    let time = ask.comparison_of("a time")?;
    Ok(IntervalConfig { slope: ask.slope(), level: ask.level()?, time })
}

impl<T: Sample> Told<T> for IntervalConfig<T> {
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

pub(super) fn said(slope: Slope, time: Span) -> Said {
    let label = match slope {
        Slope::Rising => "rising interval",
        Slope::Falling => "falling interval",
    };
    let slope = Some(slope);
    Said { slope, time: Some((Lasted::Interval, time)), ..Said::new("interval", label) }
}
