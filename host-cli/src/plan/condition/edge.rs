//! `--on edge`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::error::Error;
use stillwave::{EdgeConfig, EdgeSlope, Sample, Slope};

pub(super) const OPTIONS: &[&str] = &["--while", "--level", "--slope"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<EdgeConfig<T>, Error> {
    ask.edge()
}

impl<T: Sample> Description<T> for EdgeConfig<T> {
    fn noun(&self) -> &'static str {
        "edge"
    }

    fn describe(&self, sources: &Sources) -> String {
        let what = match self.slope {
            EdgeSlope::Rising => "rising edge",
            EdgeSlope::Falling => "falling edge",
            EdgeSlope::Either => "edge of either slope",
        };
        format!("{what} {}", words::level(&self.level, sources.calibration()))
    }

    fn describe_part(&self, sources: &Sources) -> String {
        if self.level.channel == sources.index() {
            return self.describe(sources);
        }
        let (channel, calibration) = sources.channel(self.level.channel);
        let (slope, level) = (words::slope(self.slope), words::level(&self.level, calibration));
        format!("{slope} edge on channel {channel} {level}")
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::level_marks(&self.level, self.slope)
    }
}

pub(super) fn event_text(slope: Slope) -> EventText {
    let label = match slope {
        Slope::Rising => "rising edge",
        Slope::Falling => "falling edge",
    };
    EventText { slope: Some(slope), ..EventText::new("edge", label) }
}
