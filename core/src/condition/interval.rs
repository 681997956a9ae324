//! Interval: the time between two successive edges.
//!
//! ```text
//! level ───•──────────────•───      from an edge to the next of the same slope,
//!         ╱ ╲            ╱ ╲        fires at the second
//!       _╱   ╲__________╱   ╲
//!          ◄── interval ──►
//! ```

use crate::{Block, Comparison, Condition, ConfigError, Edge, Event, EventKind};
use crate::{Instant, Level, Sample, Slope};

/// Fires at an edge whose distance from the edge before it, of the same slope, is as asked for.
///
/// Edges are those of [`Edge`]; the interval runs from crossing to crossing, in 1/65536 of a
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
    edge: Edge<T>,
    slope: Slope,
    time: Comparison,
    last: Option<Instant>,
}

impl<T: Sample> Interval<T> {
    /// An interval between edges of one slope through `level`, with a `time` to be compared.
    ///
    /// # Errors
    /// As [`Level::new`] and [`Comparison::validated`].
    pub fn new(slope: Slope, level: Level<T>, time: Comparison) -> Result<Self, ConfigError> {
        Ok(Self { edge: Edge::new(slope, level)?, slope, time: time.validated()?, last: None })
    }
}

impl<T: Sample> Condition for Interval<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let at = self.edge.next(block)?.at;
            if let Some(last) = self.last.replace(at) {
                let time = at.since(last);
                if self.time.holds(time) {
                    return Some(Event {
                        at,
                        kind: EventKind::Interval { slope: self.slope, time },
                    });
                }
            }
        }
    }

    fn gap(&mut self) {
        self.edge.gap();
        self.last = None;
    }

    fn reset(&mut self) {
        self.edge.reset();
        self.last = None;
    }
}
