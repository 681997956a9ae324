//! What every condition says about itself.

use stillwave::{CountConfig, Level, QualifiedConfig, Sample, Side, Span};

use super::{Mark, Sources};

/// What a condition says about itself.
pub(crate) trait Description<T: Sample> {
    /// The name of what it looks for.
    fn noun(&self) -> &'static str;

    /// The condition in words, with every number as it is used.
    fn describe(&self, sources: &Sources) -> String;

    /// The same as part of the description of another condition.
    fn describe_part(&self, sources: &Sources) -> String {
        self.describe(sources)
    }

    /// The levels to draw on the channel to trigger on.
    fn marks(&self, sources: &Sources) -> Vec<Mark>;

    /// The options for the least and the greatest time, if these are not the options of a
    /// comparison.
    fn bounds(&self) -> Option<[&'static str; 2]> {
        None
    }

    /// The asynchronous line that it reads.
    fn line(&self) -> Option<Line<T>> {
        None
    }

    /// What it counts.
    fn counted(&self) -> Option<CountConfig<T>> {
        None
    }

    /// The channel that `--while` asks about, and what it must be.
    fn gate(&self) -> Option<QualifiedConfig<T>> {
        None
    }

    /// Whether every other one of its levels is one that the signal must not pass.
    fn avoids_every_other_level(&self) -> bool {
        false
    }
}

/// An asynchronous line with characters on it.
pub(crate) struct Line<T: Sample> {
    pub(crate) level: Level<T>,
    /// The side on which it is at rest.
    pub(crate) idle: Side,
    /// The length of a bit.
    pub(crate) bit: Span,
}

/// A condition out of a list.
pub(crate) trait Described<T: Sample> {
    /// Its description.
    fn description(&self) -> &dyn Description<T>;
}
