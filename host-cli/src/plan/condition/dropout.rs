//! `--on dropout`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::error::Error;
use stillwave::{DropoutConfig, Sample, Span};

pub(super) const OPTIONS: &[&str] = &["--while", "--level", "--slope", "--after"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<DropoutConfig<T>, Error> {
    let time = ask.args.after.ok_or_else(|| ask.missing("a time", "--after 1.5s"))?;
    let after = ask.calibration.whole_samples("--after", time)?;
    Ok(DropoutConfig { slope: ask.slope(), level: ask.level()?, after })
}

impl<T: Sample> Description<T> for DropoutConfig<T> {
    fn noun(&self) -> &'static str {
        "gap between edges"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let (slope, after) = (words::slope(self.slope), calibration.show_time(self.after as f64));
        format!("no {slope} edge for {after} {}", words::level(&self.level, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::level_marks(&self.level, self.slope)
    }

    fn bounds(&self) -> Option<[&'static str; 2]> {
        Some(["--after"; 2])
    }
}

pub(super) fn event_text(time: Span) -> EventText {
    EventText::lasting("dropout", "dropout", time)
}
