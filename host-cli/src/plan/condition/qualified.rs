//! `--while`, on top of another condition.

use stillwave::{Composition, Sample, Setup};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>, of: Setup<T>) -> Result<Composition<T>, Error> {
    let Some(gate) = ask.args.several.while_on else { return Ok(Composition::Single(of)) };
    let side = gate.word.ok_or_else(|| {
        Error::usage(
            format!("--while does not say what channel {} must be", gate.channel),
            format!("give {0}:high or {0}:low", gate.channel),
        )
    })?;
    Ok(Composition::Qualified { of, gate: ask.other("--while", gate)?, side: Ask::side(side) })
}
