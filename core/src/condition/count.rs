//! Count: the n-th event since the start, since a quiet time, or since another event.
//!
//! ```text
//! events  ──•──•──•──────────•──•──•──•───
//! since the start, n = 4:    ▲
//!                    ◄──T──►
//! since a quiet T, n = 3:          ▲
//! since another,   n = 2:        ▲
//! other   ──────────────────•─────────────
//! ```

use super::{AnyCondition, Configuration, Relaxed, Setup, configuration};
use super::{Never, Of, Pair, by_position};
use crate::{Block, Condition, ConfigError, Event, EventKind, Level, Sample, Slope};

configuration! {
    /// What starts a count.
    #[derive(Default)]
    #[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
    pub enum CountSince<T: Sample> {
        /// The start of the stream.
        #[default]
        Start,
        /// This many samples without an event.
        Quiet(u64),
        /// An event of another condition.
        Other(Setup<T>),
    }
}

configuration! {
    /// Fires at the n-th event: [`Count`].
    pub struct CountConfig<T: Sample> {
        /// The condition whose events are counted.
        pub of: Setup<T>,
        /// The number n, from 1.
        pub events: u32,
        /// What starts the count.
        pub since: CountSince<T>,
    }
}

impl<T: Sample> Configuration<T> for CountConfig<T> {
    type Condition = Count<AnyCondition<T>, Option<AnyCondition<T>>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        let (begin, other) = match self.since {
            CountSince::Start => (Begin::Start, None),
            CountSince::Quiet(quiet) => (Begin::Quiet(quiet), None),
            CountSince::Other(other) => (Begin::Other, Some(other.build()?)),
        };
        Count::counting(begin, other, self.of.build()?, self.events)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.of.levels(each);
        if let CountSince::Other(other) = &self.since {
            other.levels(each);
        }
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed { setup: self.of.into(), time: None })
    }
}

/// Fires at the n-th event of a condition, once for each count. How the count starts:
///
/// - [`since_start`](Self::since_start): at the start of the stream, and at every gap in it.
/// - [`since_quiet`](Self::since_quiet): at the first event after T samples without one. An event
///   at position p starts a count if there was no event in (p − T, p), and if no sample of
///   [p − T, p) was lost or before the start. A burst already in progress when the stream begins
///   never counts.
/// - [`since`](Self::since): at every event of another condition. An event at the same sample still
///   belongs to the previous count. Nothing is counted before the first event of the other
///   condition.
///
/// ```
/// use stillwave::{Block, Condition, Count, Edge, Level, Slope};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 0)?)?;
/// // The second edge after 4 quiet samples.
/// let mut count = Count::since_quiet(edge, 2, 4)?;
/// let samples: [u8; 13] = [0, 200, 0, 0, 0, 0, 0, 200, 0, 200, 0, 200, 0];
/// let channels = [&samples[..]];
/// let block = Block::new(0, &channels);
/// assert_eq!(count.next(&block).map(|event| event.at.position), Some(9));
/// assert_eq!(count.next(&block), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Count<C: Condition, R = Never<<C as Condition>::Sample>> {
    pair: Pair<C, R>,
    events: u32,
    begin: Begin,
    /// Events since the count started, up to `events`; `None` before a count has started.
    counted: Option<u32>,
    /// The position from which on an event starts a new count, because the time before it was
    /// quiet.
    quiet_until: Option<u64>,
}

/// What starts a count.
#[derive(Clone, Copy, Debug)]
pub(super) enum Begin {
    Start,
    Quiet(u64),
    Other,
}

impl<C: Condition> Count<C> {
    /// Fires at event number `events` of `condition` since the start.
    ///
    /// # Errors
    /// `events` is 0.
    pub fn since_start(condition: C, events: u32) -> Result<Self, ConfigError> {
        Self::counting(Begin::Start, Never::new(), condition, events)
    }

    /// Fires at event number `events` of `condition` in a burst. A burst starts after `quiet`
    /// samples without an event.
    ///
    /// # Errors
    /// `events` is 0.
    pub fn since_quiet(condition: C, events: u32, quiet: u64) -> Result<Self, ConfigError> {
        Self::counting(Begin::Quiet(quiet), Never::new(), condition, events)
    }
}

impl<C: Condition, R: Condition<Sample = C::Sample>> Count<C, R> {
    /// Fires at event number `events` of `condition` since each event of `other`.
    ///
    /// # Errors
    /// `events` is 0.
    pub fn since(condition: C, events: u32, other: R) -> Result<Self, ConfigError> {
        Self::counting(Begin::Other, other, condition, events)
    }

    pub(super) fn counting(
        begin: Begin,
        other: R,
        condition: C,
        events: u32,
    ) -> Result<Self, ConfigError> {
        if events == 0 {
            return Err(ConfigError::new("events", 0.0, "1 or more"));
        }
        let pair = Pair::new(condition, other);
        Ok(Self { pair, events, begin, counted: None, quiet_until: None }.restarted())
    }

    fn restarted(mut self) -> Self {
        self.restart();
        self
    }

    /// Sets the state to that at the start of a stream.
    fn restart(&mut self) {
        self.counted = match self.begin {
            Begin::Start => Some(0),
            Begin::Quiet(_) | Begin::Other => None,
        };
        self.quiet_until = None;
    }

    /// Whether the event at `position` is the n-th.
    #[inline]
    fn counts(&mut self, position: u64) -> bool {
        if let Begin::Quiet(quiet) = self.begin {
            if self.quiet_until.is_some_and(|until| position >= until) {
                self.counted = Some(0);
            }
            self.quiet_until = Some(position.saturating_add(quiet));
        }
        match &mut self.counted {
            Some(counted) if *counted < self.events => {
                *counted += 1;
                *counted == self.events
            }
            _ => false,
        }
    }
}

impl<C: Condition, R: Condition<Sample = C::Sample>> Condition for Count<C, R> {
    type Sample = C::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        if let (Begin::Quiet(quiet), None) = (self.begin, self.quiet_until) {
            self.quiet_until = Some(block.start().saturating_add(quiet));
        }
        loop {
            match self.pair.next(block, by_position)? {
                Of::Second(_) => self.counted = Some(0),
                Of::First(event) if self.counts(event.at.position) => {
                    let kind = EventKind::Count { events: self.events };
                    return Some(Event { at: event.at, kind });
                }
                Of::First(_) => {}
            }
        }
    }

    fn gap(&mut self) {
        self.pair.gap();
        self.restart();
    }

    fn reset(&mut self) {
        self.pair.reset();
        self.restart();
    }
}
