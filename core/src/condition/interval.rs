//! Interval: the time between two successive edges.
//!
//! ```text
//! level ───•──────────────•───      from an edge to the next of the same slope,
//!         ╱ ╲            ╱ ╲        fires at the second
//!       _╱   ╲__________╱   ╲
//!          ◄── interval ──►
//! ```

use super::timed::{Timed, by_rule};
use super::{Configuration, EdgeSlope, OneOrBoth, Relaxed, Setup, configuration};
use crate::compare::Flip;
use crate::{Comparator, Comparison, ConfigError, Event, EventKind, Level, Sample, Slope};

configuration! {
    /// Fires when the time between two successive edges counts: [`Interval`].
    pub struct IntervalConfig<T: Sample> {
        /// The slope of the edges. With `Either`, rising and falling edges are timed separately.
        pub slope: EdgeSlope,
        /// The level.
        pub level: Level<T>,
        /// The times that count.
        pub time: Comparison,
    }
}

impl<T: Sample> Configuration<T> for IntervalConfig<T> {
    type Condition = OneOrBoth<Interval<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        OneOrBoth::of_slope(self.slope, |slope| Interval::new(slope, self.level, self.time))
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.slope.each(|slope| each(slope, self.level));
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed::timed(Setup::from(Self { time: Comparison::ANY, ..*self }), self.time))
    }
}

/// Fires at an edge if the time since the previous edge of the same slope passes the comparison.
///
/// Edges are those of [`Edge`](crate::Edge). The interval runs from crossing to crossing, in
/// 1/65536 of a sample. Every edge ends one interval and begins the next, whether or not it fired.
/// The first edge of the stream, and the first after a gap, ends no interval.
///
/// ```
/// use stillwave::{Block, Comparison, Condition, EventKind, Interval, Level, Slope, Span};
/// let level = Level::<u8>::new(100, 50)?;
/// // A period is missing where there is no edge for more than 5 samples.
/// let mut missing = Interval::new(Slope::Rising, level, Comparison::LongerThan(Span::samples(5)))?;
/// let samples: [u8; 12] = [0, 200, 200, 0, 0, 200, 200, 0, 0, 0, 0, 200];
/// let channels = [&samples[..]];
/// let event = missing.next(&Block::new(0, &channels)).unwrap();
/// assert_eq!(event.at.samples(), 10.5);
/// assert_eq!(event.kind, EventKind::Interval { slope: Slope::Rising, time: Span::samples(6) });
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Interval<T: Sample> {
    timed: Timed<Comparator<T>>,
    time: Comparison,
}

impl<T: Sample> Interval<T> {
    /// Makes a condition that compares the `time` between edges of one slope through `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`] and [`Comparison::validated`].
    pub fn new(slope: Slope, level: Level<T>, time: Comparison) -> Result<Self, ConfigError> {
        let comparator = Comparator::new(slope, level)?.only_passages();
        Ok(Self { timed: Timed::new(comparator), time: time.validated()? })
    }

    /// The rule that decides whether an edge is an event.
    #[inline]
    fn rule(&self) -> impl Fn(&mut Option<Flip<T>>, Flip<T>) -> Option<Event> + use<T> {
        let asked = self.time;
        move |last, edge| event(asked, last, edge)
    }
}

/// The event, if `edge` ends the interval that `last` began and its time passes the comparison.
#[inline]
fn event<T: Sample>(asked: Comparison, last: &mut Option<Flip<T>>, edge: Flip<T>) -> Option<Event> {
    let (at, time) = asked.measured(last.replace(edge)?, edge)?;
    Some(Event { at, kind: EventKind::Interval { slope: edge.slope, time } })
}

by_rule!(Interval);
