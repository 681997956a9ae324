//! `--on sequence`.

use stillwave::{Composition, Sample, Wait};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let several = &ask.args.several;
    let then = several.then.ok_or_else(|| ask.missing("--then", "--then 2:rising"))?;
    let samples = |option, time| ask.calibration.whole_samples(option, time);
    let wait = Wait {
        delay: several.delay.map_or(Ok(0), |time| samples("--delay", time))?,
        events: Ask::events(several.events.unwrap_or(1))?,
        timeout: several.timeout.map(|time| samples("--timeout", time)).transpose()?,
    };
    if wait.timeout.is_some_and(|timeout| timeout <= wait.delay.max(1)) {
        return Err(Error::usage(
            "--timeout is over before the second edge can come",
            "give one longer than --delay, and of 2 samples or more",
        ));
    }
    Ok(Composition::Sequence {
        first: ask.edge()?,
        then: ask.other_edge("--then", then)?,
        wait,
        reset: several.reset.map(|reset| ask.other_edge("--reset", reset)).transpose()?,
    })
}
