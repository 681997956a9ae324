//! What every condition tells of itself.

use stillwave::{CountConfig, Level, Sample, Side, Span};

use super::{Mark, Sources};

/// What a condition tells of itself.
pub(crate) trait Told<T: Sample> {
    /// What it looks for, in a word.
    fn noun(&self) -> &'static str;

    /// It in words, with every number as it is used.
    fn describe(&self, sources: &Sources) -> String;

    /// It in words as part of another condition.
    fn describe_part(&self, sources: &Sources) -> String {
        self.describe(sources)
    }

    /// Its levels on the channel to trigger on, for a picture.
    fn marks(&self, sources: &Sources) -> Vec<Mark>;

    /// The options that say how long something must be at least, and at most, where these are not
    /// those of a comparison.
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

/// One of several conditions.
pub(crate) trait Tells<T: Sample> {
    /// What tells of it.
    fn told(&self) -> &dyn Told<T>;
}
