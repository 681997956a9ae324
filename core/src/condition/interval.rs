//! Interval: the time between two successive edges.
//!
//! ```text
//! level ───•──────────────•───      from an edge to the next of the same slope,
//!         ╱ ╲            ╱ ╲        fires at the second
//!       _╱   ╲__________╱   ╲
//!          ◄── interval ──►
//! ```

use crate::compare::Flip;
use crate::{Block, Comparator, Comparison, Condition, ConfigError, Event, EventKind};
use crate::{Level, Sample, Slope};

/// Fires at an edge whose distance from the edge before it, of the same slope, is as asked for.
///
/// Edges are those of [`Edge`](crate::Edge); the interval runs from crossing to crossing, in 1/65536 of a
/// sample. Every edge ends one interval and begins the next, whether or not that one counted. The
/// first edge of the stream, and the first after a gap, ends none.
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
    comparator: Comparator<T>,
    time: Comparison,
    last: Option<Flip<T>>,
}

impl<T: Sample> Interval<T> {
    /// An interval between edges of one slope through `level`, with a `time` to be compared.
    ///
    /// # Errors
    /// As [`Level::new`] and [`Comparison::validated`].
    pub fn new(slope: Slope, level: Level<T>, time: Comparison) -> Result<Self, ConfigError> {
        let comparator = Comparator::new(slope, level)?.only_passages();
        Ok(Self { comparator, time: time.validated()?, last: None })
    }
}

/// The event where an `edge` ends the interval that the `last` has begun.
#[inline]
fn event<T: Sample>(asked: Comparison, last: &mut Option<Flip<T>>, edge: Flip<T>) -> Option<Event> {
    let (at, time) = asked.measured(last.replace(edge)?, edge)?;
    Some(Event { at, kind: EventKind::Interval { slope: edge.slope, time } })
}

impl<T: Sample> Condition for Interval<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let edge = self.comparator.next_flip(block)?;
            let found = event(self.time, &mut self.last, edge);
            if found.is_some() {
                return found;
            }
        }
    }

    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, T>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        // In a local, which the loop can keep in registers.
        let mut last = self.last.take();
        self.comparator.for_each_flip(block, |edge| {
            if let Some(event) = event(self.time, &mut last, edge)
                && accept(event.at.position)
            {
                f(event);
            }
        });
        self.last = last;
    }

    fn gap(&mut self) {
        self.comparator.gap();
        self.last = None;
    }

    fn reset(&mut self) {
        self.comparator.reset();
        self.last = None;
    }
}
