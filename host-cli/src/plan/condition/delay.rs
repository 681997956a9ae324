//! `--on delay`.

use stillwave::{Composition, Sample};

use super::super::Ask;
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let to = ask.args.several.to.ok_or_else(|| ask.missing("--to", "--to 2:rising"))?;
    Ok(Composition::Delay {
        from: ask.edge()?,
        to: ask.other_edge("--to", to)?,
        time: ask.comparison_of("a time")?,
    })
}
