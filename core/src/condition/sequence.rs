//! Sequence: an event A, and then an event B.
//!
//! ```text
//! A  ──•────────•──────────────       at A, it begins to look for B:
//!      ◄ delay ►                      after the delay, up to the timeout, and as long as there
//! B  ─────•───────────•────────       is no C; an A on the way changes nothing
//! C  ──────────────────────────
//!      ◄ ─ ─ ─ ─ timeout ─ ─ ─ ►
//! fires               ▲
//! ```

use super::{AnyCondition, Configuration, Relaxed, Setup, configuration};
use super::{Lookahead, Never};
use crate::{
    Block, Comparison, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Slope,
    Span,
};

configuration! {
    /// Fires when one event comes after another: [`Sequence`].
    pub struct SequenceConfig<T: Sample> {
        /// The first event.
        pub first: Setup<T>,
        /// The second event, at which the sequence fires.
        pub then: Setup<T>,
        /// The delay, number of events and timeout between the two.
        pub wait: Wait,
        /// The event that must not come between the two.
        pub reset: Option<Setup<T>>,
    }
}

impl<T: Sample> Configuration<T> for SequenceConfig<T> {
    type Condition = Sequence<AnyCondition<T>, AnyCondition<T>, Option<AnyCondition<T>>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        let (first, then) = (self.first.build()?, self.then.build()?);
        let reset = self.reset.map(Setup::build).transpose()?;
        Sequence::with_reset(first, then, reset, self.wait)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.first.levels(each);
        self.then.levels(each);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        // With a number of events or a reset, the first event after A is not the one asked for.
        if self.wait.events > 1 || self.reset.is_some() {
            return Some(Relaxed { setup: (*self).into(), time: None });
        }
        let latest = self.wait.timeout.map_or(Span::MAX, |timeout| {
            Span::from_parts(Span::samples(timeout).parts().saturating_sub(1))
        });
        let time = Comparison::Within(Span::samples(self.wait.delay), latest);
        Some(Relaxed::timed(Self { wait: Wait::default(), ..*self }, time))
    }
}

/// The conditions on the time between the two events of a [`Sequence`]; by default none: the next B
/// fires.
///
/// Times are in samples; the timeout is exclusive, the delay inclusive.
///
/// ```
/// use stillwave::Wait;
/// // The third B, 10 samples after A at the earliest, before 100 are over.
/// assert!(Wait { delay: 10, events: 3, timeout: Some(100) }.validated().is_ok());
/// assert!(Wait { timeout: Some(1), ..Wait::default() }.validated().is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Wait {
    /// The number of samples after A before which a B does not count; 0 for none.
    pub delay: u64,
    /// The number of the B that fires: 1 for the first.
    pub events: u32,
    /// The number of samples after A at which it is too late for B; from there on it looks for A
    /// again. `None` for no timeout.
    pub timeout: Option<u64>,
}

impl Default for Wait {
    fn default() -> Self {
        Self { delay: 0, events: 1, timeout: None }
    }
}

impl Wait {
    /// Returns the value unchanged if it is in range.
    ///
    /// # Errors
    /// `events` is 0; `timeout` is not longer than the delay, or is less than 2, so that no B can
    /// be in time.
    pub fn validated(self) -> Result<Self, ConfigError> {
        if self.events == 0 {
            return Err(ConfigError::new("events", 0.0, "1 or more"));
        }
        match self.timeout {
            Some(timeout) if timeout <= self.delay.max(1) => {
                let range = "longer than the delay, and 2 or more";
                Err(ConfigError::new("timeout", timeout as f64, range))
            }
            _ => Ok(self),
        }
    }
}

/// Fires at an event B that comes after an event A.
///
/// With the positions a and b of the two:
/// - It looks for A first. From a on, it looks only for B, until b, the timeout or a reset; another
///   A in the meantime changes nothing.
/// - A B counts if b > a and b ≥ a + delay. The one numbered [`Wait::events`] among these fires.
/// - From a + timeout on, including that sample, it looks for A again.
/// - It also looks for A again after an event C of the reset condition, at c > a.
///
/// It takes at most one step per sample: an event at the same sample as A is not after it, and an A
/// at the same sample as the end of a sequence does not begin the next one. If B and C come at the
/// same sample, B goes first and may still fire.
///
/// ```
/// use stillwave::{Block, Condition, Edge, Level, Sequence, Slope, Wait};
/// // A rise on channel 0, and within 4 samples the second rise on channel 1.
/// let level = Level::<u8>::new(100, 0)?;
/// let first = Edge::new(Slope::Rising, level)?;
/// let then = Edge::new(Slope::Rising, level.on_channel(1))?;
/// let wait = Wait { events: 2, timeout: Some(5), ..Wait::default() };
/// let mut sequence = Sequence::new(first, then, wait)?;
///
/// let channels: [&[u8]; 2] = [&[0, 200, 200, 200, 200, 200], &[0, 200, 0, 200, 0, 200]];
/// let event = sequence.next(&Block::new(0, &channels)).unwrap();
/// assert_eq!(event.at.position, 5);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Sequence<A: Condition, B, C = Never<<A as Condition>::Sample>> {
    first: A,
    then: B,
    reset: C,
    ahead: [Lookahead<Event>; 3],
    wait: Wait,
    under_way: Option<UnderWay>,
}

/// A sequence whose event A has come.
#[derive(Clone, Copy, Debug)]
struct UnderWay {
    begin: Instant,
    /// The number of B that counted so far.
    counted: u32,
}

/// The condition that an event belongs to.
#[derive(Clone, Copy, Debug)]
enum Of {
    First,
    Then,
    Reset,
}

impl<A: Condition, B: Condition<Sample = A::Sample>> Sequence<A, B> {
    /// Makes a sequence of an event of `first` followed by one of `then`.
    ///
    /// # Errors
    /// The errors of [`Wait::validated`].
    pub fn new(first: A, then: B, wait: Wait) -> Result<Self, ConfigError> {
        Self::with_reset(first, then, Never::new(), wait)
    }
}

impl<A, B, C> Sequence<A, B, C>
where
    A: Condition,
    B: Condition<Sample = A::Sample>,
    C: Condition<Sample = A::Sample>,
{
    /// Makes a sequence of an event of `first` followed by one of `then`, with none of `reset`
    /// between.
    ///
    /// # Errors
    /// The errors of [`Wait::validated`].
    pub fn with_reset(first: A, then: B, reset: C, wait: Wait) -> Result<Self, ConfigError> {
        let wait = wait.validated()?;
        Ok(Self { first, then, reset, ahead: Default::default(), wait, under_way: None })
    }

    /// The next event of the three, by position; at the same position, in the order A, B, C.
    #[inline]
    fn advance(&mut self, block: &Block<'_, A::Sample>) -> Option<(Of, Event)> {
        let Self { first, then, reset, ahead: [next_first, next_then, next_reset], .. } = self;
        let position = |event: Option<Event>| event.map_or(u64::MAX, |event| event.at.position);
        let a = position(next_first.peek(|| first.next(block)));
        let b = position(next_then.peek(|| then.next(block)));
        let c = position(next_reset.peek(|| reset.next(block)));
        let (of, event) = if a <= b.min(c) {
            (Of::First, next_first.take())
        } else if b <= c {
            (Of::Then, next_then.take())
        } else {
            (Of::Reset, next_reset.take())
        };
        Some((of, event?))
    }

    fn forget(&mut self) {
        self.ahead = Default::default();
        self.under_way = None;
    }
}

impl<A, B, C> Condition for Sequence<A, B, C>
where
    A: Condition,
    B: Condition<Sample = A::Sample>,
    C: Condition<Sample = A::Sample>,
{
    type Sample = A::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, A::Sample>) -> Option<Event> {
        loop {
            let (of, event) = self.advance(block)?;
            let at = event.at;
            let since = |a: UnderWay| at.position.saturating_sub(a.begin.position);
            let timeout = self.wait.timeout.unwrap_or(u64::MAX);
            self.under_way = self.under_way.filter(|&a| since(a) < timeout);
            match (&mut self.under_way, of) {
                (None, Of::First) => self.under_way = Some(UnderWay { begin: at, counted: 0 }),
                (Some(a), Of::Then) if since(*a) >= self.wait.delay.max(1) => {
                    a.counted += 1;
                    if a.counted >= self.wait.events {
                        let time = at.since(a.begin);
                        self.under_way = None;
                        return Some(Event { at, kind: EventKind::Sequence { time } });
                    }
                }
                (Some(a), Of::Reset) if since(*a) > 0 => self.under_way = None,
                _ => {}
            }
        }
    }

    fn gap(&mut self) {
        self.forget();
        self.first.gap();
        self.then.gap();
        self.reset.gap();
    }

    fn reset(&mut self) {
        self.forget();
        self.first.reset();
        self.then.reset();
        self.reset.reset();
    }
}
