//! `--while`, on top of another condition.

use super::{Ask, Described, Description, Line, Mark, Sources, words};
use crate::error::Error;
use stillwave::{Composition, CountConfig, Qualifiable, QualifiedConfig, Sample};

/// The condition, or where `--while` asks for it, the condition together with that.
///
/// # Errors
/// A channel without a side or a level.
pub(super) fn qualified<T: Sample>(
    ask: &Ask<'_>,
    of: Qualifiable<T>,
) -> Result<Composition<T>, Error> {
    let Some(gate) = ask.args.several.while_on else { return Ok(of.into()) };
    let side = gate.word.ok_or_else(|| {
        Error::usage(
            format!("--while does not say what channel {} must be", gate.channel),
            format!("give {0}:high or {0}:low", gate.channel),
        )
    })?;
    let gate = ask.other("--while", gate)?;
    Ok(QualifiedConfig { of, gate, side: Ask::side(side) }.into())
}

impl<T: Sample> Description<T> for QualifiedConfig<T> {
    fn noun(&self) -> &'static str {
        self.of.description().noun()
    }

    fn describe(&self, sources: &Sources) -> String {
        let (of, gate) =
            (self.of.description().describe_part(sources), sources.level_in_words(&self.gate));
        format!("{of}, while {gate} is {}", words::side(self.side))
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.of.description().marks(sources)
    }

    fn bounds(&self) -> Option<[&'static str; 2]> {
        self.of.description().bounds()
    }

    fn line(&self) -> Option<Line<T>> {
        self.of.description().line()
    }

    fn counted(&self) -> Option<CountConfig<T>> {
        self.of.description().counted()
    }

    fn gate(&self) -> Option<QualifiedConfig<T>> {
        Some(*self)
    }

    fn avoids_every_other_level(&self) -> bool {
        self.of.description().avoids_every_other_level()
    }
}
