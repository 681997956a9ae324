//! Setup and hold: data changes too close to a clock edge.
//!
//! ```text
//! clock  ________________╱▔▔▔▔▔▔▔▔▔▔▔
//!                 ◄setup►◄ hold ►
//! data   ═══════════╳═══════╳════════     fires at the clock edge for the change before it,
//!                        ▲  ▲             at the change for one after it
//! ```

use super::{AnyCondition, Configuration, Relaxed, Setup, configuration};
use super::{Of, Pair};
use crate::{
    Block, Comparison, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Slope,
    Span,
};

configuration! {
    /// Fires when data changes too close to a clock edge: [`SetupHold`].
    pub struct SetupHoldConfig<T: Sample> {
        /// The edges of the clock.
        pub clock: Setup<T>,
        /// The changes of the data.
        pub data: Setup<T>,
        /// The time before a clock edge in which data must not change; 0 for none.
        pub setup: Span,
        /// The time after a clock edge in which data must not change; 0 for none.
        pub hold: Span,
    }
}

impl<T: Sample> Configuration<T> for SetupHoldConfig<T> {
    type Condition = SetupHold<AnyCondition<T>, AnyCondition<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Ok(SetupHold::new(self.clock.build()?, self.data.build()?, self.setup, self.hold))
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.clock.levels(each);
        self.data.levels(each);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let (setup, hold, time) = if self.setup > Span::ZERO {
            (Span::MAX, Span::ZERO, self.setup)
        } else {
            (Span::ZERO, Span::MAX, self.hold)
        };
        Some(Relaxed::timed(Self { setup, hold, ..*self }, Comparison::ShorterThan(time)))
    }
}

/// Fires when data changes less than the setup time before a clock edge, or less than the hold time
/// after it.
///
/// With the clock edge at the instant c and the change at d, in 1/65536 of a sample:
/// - d < c: the last change before a clock edge is too late if c − d < setup. The event is at the
///   clock edge.
/// - d ≥ c: the first change after a clock edge is too early if d − c < hold. The event is at the
///   change.
///
/// A change at the same instant as the clock edge counts as after it; it is allowed if the hold
/// time is 0. One change may be too early for one clock edge and too late for the next.
///
/// The clock is mostly an [`Edge`](crate::Edge), and the data an [`EitherEdge`](crate::EitherEdge)
/// on another channel; any conditions work. (Both times are as data sheets of flip-flops define
/// them: common practice.)
///
/// ```
/// use stillwave::{Block, Condition, Edge, EitherEdge, EventKind, Level, SetupHold, Slope, Span};
/// let level = Level::<u8>::new(100, 0)?;
/// let clock = Edge::new(Slope::Rising, level)?;
/// let data = EitherEdge::new(level.on_channel(1))?;
/// let mut check = SetupHold::new(clock, data, Span::samples(3), Span::samples(1));
///
/// let channels: [&[u8]; 2] = [&[0, 0, 0, 200, 200, 200], &[0, 200, 200, 200, 200, 0]];
/// let block = Block::new(0, &channels);
/// let event = check.next(&block).unwrap();
/// assert_eq!(event.kind, EventKind::Setup { time: Span::samples(2) });
/// assert_eq!(event.at.samples(), 2.5);
/// assert_eq!(check.next(&block), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct SetupHold<K, D> {
    pair: Pair<K, D>,
    setup: Span,
    hold: Span,
    /// The last clock edge, if no change has come since.
    clock: Option<Instant>,
    /// The last change of the data.
    data: Option<Instant>,
}

impl<K: Condition, D: Condition<Sample = K::Sample>> SetupHold<K, D> {
    /// Makes a condition for changes of `data` less than `setup` before, or less than `hold` after,
    /// an edge of `clock`. Either time may be 0, for none.
    pub fn new(clock: K, data: D, setup: Span, hold: Span) -> Self {
        Self { pair: Pair::new(clock, data), setup, hold, clock: None, data: None }
    }

    fn forget(&mut self) {
        (self.clock, self.data) = (None, None);
    }
}

impl<K: Condition, D: Condition<Sample = K::Sample>> Condition for SetupHold<K, D> {
    type Sample = K::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, K::Sample>) -> Option<Event> {
        loop {
            match self.pair.next(block, |clock, data| !data.precedes(clock))? {
                Of::First(Event { at, .. }) => {
                    self.clock = Some(at);
                    let time = self.data.map(|data| at.since(data));
                    if let Some(time) = time.filter(|&time| time < self.setup) {
                        return Some(Event { at, kind: EventKind::Setup { time } });
                    }
                }
                Of::Second(Event { at, .. }) => {
                    self.data = Some(at);
                    let time = self.clock.take().map(|clock| at.since(clock));
                    if let Some(time) = time.filter(|&time| time < self.hold) {
                        return Some(Event { at, kind: EventKind::Hold { time } });
                    }
                }
            }
        }
    }

    fn gap(&mut self) {
        self.pair.gap();
        self.forget();
    }

    fn reset(&mut self) {
        self.pair.reset();
        self.forget();
    }
}
