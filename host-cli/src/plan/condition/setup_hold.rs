//! `--on setup-hold`.

use stillwave::{Composition, EdgeSlope, Sample, Setup, Span};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let several = &ask.args.several;
    let data = several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    if several.setup_time.is_none() && several.hold_time.is_none() {
        return Err(ask.missing("a time", "--setup-time 20ns, --hold-time 5ns or both"));
    }
    let span = |option, time: Option<_>| time.map_or(Ok(Span::ZERO), |time| ask.span(option, time));
    Ok(Composition::SetupHold {
        clock: ask.edge()?,
        data: Setup::Edge { slope: EdgeSlope::Either, level: ask.other("--data", data)? },
        setup: span("--setup-time", several.setup_time)?,
        hold: span("--hold-time", several.hold_time)?,
    })
}
