//! Edge: the signal passes a level.
//!
//! ```text
//! level ────────•─────────────      rising: armed below level − hysteresis,
//!              ╱  ╲       •         fires at the first sample at or over the level
//! − hyst. ────╱────╲─────╱────
//!          __╱      ╲___╱           falling: the mirror
//! ```

use super::Lookahead;
use super::{Configuration, EdgeSlope, OneOrBoth, Relaxed, configuration};
use crate::{
    Block, Comparator, Condition, ConfigError, Crossing, Event, EventKind, Level, Sample, Slope,
};

configuration! {
    /// Fires when the signal passes a level: [`Edge`], [`EitherEdge`].
    pub struct EdgeConfig<T: Sample> {
        /// The direction.
        pub slope: EdgeSlope,
        /// The level.
        pub level: Level<T>,
    }
}

impl<T: Sample> Configuration<T> for EdgeConfig<T> {
    type Condition = OneOrBoth<Edge<T>, EitherEdge<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Ok(match self.slope.one() {
            Some(slope) => OneOrBoth::One(Edge::new(slope, self.level)?),
            None => OneOrBoth::Both(EitherEdge::new(self.level)?),
        })
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.slope.each(|slope| each(slope, self.level));
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        None
    }
}

/// Fires when the signal passes a level in one direction.
///
/// - Rising: a sample x < L − h arms it; the first x ≥ L while armed fires and disarms it.
/// - Falling: x > L + h arms it; the first x ≤ L fires.
///
/// A stream that begins beyond the level does not fire until it has been on the other side.
///
/// ```
/// use stillwave::{Block, Condition, Edge, Level, Slope};
/// let mut edge = Edge::new(Slope::Rising, Level::<u16>::new(100, 5)?)?;
/// let samples: [u16; 6] = [120, 80, 95, 105, 95, 110];
/// let channels = [&samples[..]];
/// let event = edge.next(&Block::new(0, &channels)).unwrap();
/// // From 95 to 105 the level is half way; the second rise had not been under 95.
/// assert_eq!(event.at.samples(), 2.5);
/// assert_eq!(edge.next(&Block::new(0, &channels)), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Edge<T: Sample> {
    comparator: Comparator<T>,
}

impl<T: Sample> Edge<T> {
    /// Makes an edge of one slope through `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn new(slope: Slope, level: Level<T>) -> Result<Self, ConfigError> {
        Ok(Self { comparator: Comparator::new(slope, level)?.only_passages() })
    }
}

impl<T: Sample> Condition for Edge<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        self.comparator.next(block).map(event)
    }

    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, T>,
        accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        self.comparator.for_each_accepted(block, accept, |crossing| f(event(crossing)));
    }

    #[inline]
    fn count(&mut self, block: &Block<'_, T>) -> u64 {
        self.comparator.count(block)
    }

    fn gap(&mut self) {
        self.comparator.gap();
    }

    fn reset(&mut self) {
        self.comparator.reset();
    }
}

/// Fires when the signal passes a level in either direction. It is a rising and a falling [`Edge`]
/// side by side, each with its own hysteresis.
///
/// ```
/// use stillwave::{Block, Condition, EitherEdge, Level};
/// let mut edge = EitherEdge::new(Level::<i16>::new(0, 1)?)?;
/// let samples: [i16; 6] = [-4, 4, 3, -1, -4, 0];
/// let channels = [&samples[..]];
/// let block = Block::new(0, &channels);
/// let found: Vec<u64> = core::iter::from_fn(|| edge.next(&block)).map(|e| e.at.position).collect();
/// assert_eq!(found, [1, 3, 5]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct EitherEdge<T: Sample> {
    rising: Comparator<T>,
    falling: Comparator<T>,
    next_rising: Lookahead<Crossing>,
    next_falling: Lookahead<Crossing>,
}

impl<T: Sample> EitherEdge<T> {
    /// Makes a condition for edges of both slopes through `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`].
    pub fn new(level: Level<T>) -> Result<Self, ConfigError> {
        Ok(Self {
            rising: Comparator::new(Slope::Rising, level)?.only_passages(),
            falling: Comparator::new(Slope::Falling, level)?.only_passages(),
            next_rising: Lookahead::default(),
            next_falling: Lookahead::default(),
        })
    }

    /// Discards crossings that were found ahead in a block, when the block is left before its end.
    fn forget(&mut self) {
        self.next_rising.take();
        self.next_falling.take();
    }
}

impl<T: Sample> Condition for EitherEdge<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        let Self { rising, falling, next_rising, next_falling } = self;
        let up = next_rising.peek(|| rising.next(block));
        let down = next_falling.peek(|| falling.next(block));
        let rising_first = match (up, down) {
            (Some(up), Some(down)) => up.at.position <= down.at.position,
            (up, _) => up.is_some(),
        };
        if rising_first { next_rising.take() } else { next_falling.take() }.map(event)
    }

    fn gap(&mut self) {
        self.rising.gap();
        self.falling.gap();
        self.forget();
    }

    fn reset(&mut self) {
        self.rising.reset();
        self.falling.reset();
        self.forget();
    }
}

#[inline]
fn event(crossing: Crossing) -> Event {
    Event { at: crossing.at, kind: EventKind::Edge { slope: crossing.slope } }
}
