//! `--on count`.

use stillwave::{Composition, CountSince, Sample};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let several = &ask.args.several;
    let events = Ask::events(several.events.ok_or_else(|| ask.missing("--events", "--events 3"))?)?;
    let since = match (several.quiet, several.since) {
        (Some(quiet), _) => CountSince::Quiet(ask.calibration.whole_samples("--quiet", quiet)?),
        (None, Some(since)) => CountSince::Other(ask.other_edge("--since", since)?),
        (None, None) => CountSince::Start,
    };
    Ok(Composition::Count { of: ask.edge()?, events, since })
}
