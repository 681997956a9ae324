//! A condition without its bound on time: its events are all that could have been an event.

use super::{Comparison, Composition, Configuration};
use crate::Sample;

/// A condition without its bound on time, or on what was received, and that bound.
///
/// Every event of the condition is an event of the relaxed one too, with a time that passes the
/// bound; the others are the near misses. (A dropout becomes the gap between two edges, reported at
/// the second.) If a condition bounds no time, there is nothing to relax, and levels alone decide.
///
/// ```
/// use stillwave::near::Relaxed;
/// use stillwave::{Comparison, Composition, Level, PulseConfig, PulsePolarity, Setup, Span};
/// let level = Level::<u8>::new(100, 20)?;
/// let width = Comparison::LongerThan(Span::samples(5));
/// let pulse = PulseConfig { polarity: PulsePolarity::Positive, level, width };
/// let relaxed = Relaxed::of(&Composition::Single(pulse.into())).unwrap();
/// assert_eq!(relaxed.time, Some(width));
/// let Composition::Single(Setup::Pulse(PulseConfig { width, .. })) = relaxed.setup else {
///     panic!()
/// };
/// assert!(width.holds(Span::samples(1)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relaxed<T: Sample> {
    /// The relaxed condition.
    pub setup: Composition<T>,
    /// The times that count, to compare with the event's [`time`](crate::EventKind::time); `None` if
    /// something else counts.
    pub time: Option<Comparison>,
}

impl<T: Sample> Relaxed<T> {
    /// Makes the condition without its bound; `None` if it has no bound.
    pub fn of(composition: &Composition<T>) -> Option<Self> {
        composition.relaxed()
    }

    /// A condition that accepts every time, with the times that count.
    pub(super) fn timed(setup: impl Into<Composition<T>>, time: Comparison) -> Self {
        Self { setup: setup.into(), time: Some(time) }
    }
}
