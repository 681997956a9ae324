//! `--on setup-hold`.

use stillwave::{Composition, EdgeSlope, Sample, Setup, Span};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let several = &ask.args.several;
    let data = several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    if several.setup.is_none() && several.hold.is_none() {
        return Err(ask.missing("a time", "--setup 20ns, --hold 5ns or both"));
    }
    let span = |option, time: Option<_>| time.map_or(Ok(Span::ZERO), |time| ask.span(option, time));
    Ok(Composition::SetupHold {
        clock: ask.edge()?,
        data: Setup::Edge { slope: EdgeSlope::Either, level: ask.other("--data", data)? },
        setup: span("--setup", several.setup)?,
        hold: span("--hold", several.hold)?,
    })
}
