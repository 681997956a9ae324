//! Delay: the time from an event A to the next event B is shorter or longer than a bound.
//!
//! ```text
//! A ───•     ───•─────────        the time runs from the latest A
//!       ╲   ╱    ╲                to the next B after it;
//!        ╲_╱      ╲_______        fires at that B
//!                 ◄───►
//! B ───╲                •──
//!       ╲______________╱          a B without an A since the last B is of no account
//! ```

use super::{AnyCondition, Configuration, Relaxed, Setup, configuration};
use super::{Of, Pair};
use crate::{
    Block, Comparison, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Slope,
};

configuration! {
    /// Fires when the time from one event to another counts: [`Delay`].
    pub struct DelayConfig<T: Sample> {
        /// The first event; the time runs from the latest one.
        pub from: Setup<T>,
        /// The second event; the time ends at the next one.
        pub to: Setup<T>,
        /// The times that count.
        pub time: Comparison,
    }
}

impl<T: Sample> Configuration<T> for DelayConfig<T> {
    type Condition = Delay<AnyCondition<T>, AnyCondition<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Delay::new(self.from.build()?, self.to.build()?, self.time)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.from.levels(each);
        self.to.levels(each);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed::timed(Self { time: Comparison::ANY, ..*self }, self.time))
    }
}

/// Fires at an event B if the delay since the latest event A passes the comparison.
///
/// A and B are mostly edges, each with its own slope and level, on different channels or on the
/// same one; any condition works. Each A restarts the time; the next B ends it, whether it fires or
/// not. The delay runs from instant to instant, in 1/65536 of a sample.
///
/// At the same sample, A and B come in order of their interpolated instants. If these are equal
/// too, B comes first. A and B may therefore be the same edge; the delay is then its period.
///
/// ```
/// use stillwave::{Block, Comparison, Condition, Delay, Edge, EventKind, Level, Slope, Span};
/// // From a clock's rising edge on channel 0 to the data's falling edge on channel 1.
/// let level = Level::<u8>::new(100, 10)?;
/// let clock = Edge::new(Slope::Rising, level)?;
/// let data = Edge::new(Slope::Falling, level.on_channel(1))?;
/// let mut delay = Delay::new(clock, data, Comparison::LongerThan(Span::samples(2)))?;
///
/// let channels: [&[u8]; 2] = [&[0, 200, 200, 200, 200, 200], &[250, 250, 250, 250, 50, 50]];
/// let event = delay.next(&Block::new(0, &channels)).unwrap();
/// // From 0.5 to 3.75.
/// assert_eq!(event.kind, EventKind::Delay { time: Span::from_parts(13 << 14) });
/// assert_eq!(event.at.position, 4);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Delay<A, B> {
    pair: Pair<A, B>,
    bounds: Comparison,
    begin: Option<Instant>,
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Delay<A, B> {
    /// Makes a condition that compares the `delay` from an event of `from` to the next event of
    /// `to`.
    ///
    /// # Errors
    /// The errors of [`Comparison::validated`].
    pub fn new(from: A, to: B, delay: Comparison) -> Result<Self, ConfigError> {
        Ok(Self { pair: Pair::new(from, to), bounds: delay.validated()?, begin: None })
    }
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Condition for Delay<A, B> {
    type Sample = A::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, A::Sample>) -> Option<Event> {
        loop {
            match self.pair.next(block, Instant::precedes)? {
                Of::First(a) => self.begin = Some(a.at),
                Of::Second(b) => {
                    let Some(begin) = self.begin.take() else { continue };
                    let time = b.at.since(begin);
                    if self.bounds.holds(time) {
                        return Some(Event { at: b.at, kind: EventKind::Delay { time } });
                    }
                }
            }
        }
    }

    fn gap(&mut self) {
        self.pair.gap();
        self.begin = None;
    }

    fn reset(&mut self) {
        self.pair.reset();
        self.begin = None;
    }
}
