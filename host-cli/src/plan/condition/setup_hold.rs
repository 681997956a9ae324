//! `--on setup-hold`.

use super::{Ask, Described, Description, EventText, Mark, Sources, words};
use crate::error::Error;
use stillwave::{EdgeConfig, EdgeSlope, Sample, SetupHoldConfig, Span};

pub(super) const OPTIONS: &[&str] =
    &["--level", "--slope", "--data", "--setup-time", "--hold-time"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<SetupHoldConfig<T>, Error> {
    let several = &ask.args.several;
    let data = several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    if several.setup_time.is_none() && several.hold_time.is_none() {
        return Err(ask.missing("a time", "--setup-time 20ns, --hold-time 5ns or both"));
    }
    let span = |option, time: Option<_>| time.map_or(Ok(Span::ZERO), |time| ask.span(option, time));
    let (clock, level) = (ask.edge()?, ask.other("--data", data)?);
    Ok(SetupHoldConfig {
        clock: clock.into(),
        data: EdgeConfig { slope: EdgeSlope::Either, level }.into(),
        setup: span("--setup-time", several.setup_time)?,
        hold: span("--hold-time", several.hold_time)?,
    })
}

impl<T: Sample> Description<T> for SetupHoldConfig<T> {
    fn noun(&self) -> &'static str {
        "change near a clock edge"
    }

    fn describe(&self, sources: &Sources) -> String {
        let span = |span| words::span(span, sources.calibration());
        let [setup, hold] = [self.setup, self.hold].map(span);
        let [data, clock] =
            [self.data, self.clock].map(|event| event.description().describe_part(sources));
        format!("{data} less than {setup} before or {hold} after a {clock}")
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.clock.description().marks(sources)
    }

    fn bounds(&self) -> Option<[&'static str; 2]> {
        Some([if self.setup > Span::ZERO { "--setup-time" } else { "--hold-time" }; 2])
    }
}

pub(super) fn setup_text(time: Span) -> EventText {
    EventText::lasting("setup", "setup too short", time)
}

pub(super) fn hold_text(time: Span) -> EventText {
    EventText::lasting("hold", "hold too short", time)
}
