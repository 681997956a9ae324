//! Trigger conditions turn crossings into events. One file each.
//!
//! A condition is asked for its next event until the block holds no more. Events therefore come in
//! order of position, however the condition is built, and several conditions can run side by side.

mod both;
mod catalogue;
mod comparison;
mod composition;
mod count;
mod deadline;
mod delay;
mod dropout;
mod edge;
mod inputs;
mod interval;
mod lookahead;
mod never;
mod pair;
mod pattern;
mod pulse;
mod qualified;
mod runt;
mod sequence;
mod serial;
mod setup_hold;
mod sides;
mod thresholds;
mod timed;
mod transition;
mod video;
mod window;

pub use both::Both;
pub use catalogue::{AnyCondition, EdgeSlope, PulsePolarity, Setup};
pub use comparison::Comparison;
pub use composition::{AnyComposition, Composition, CountSince, PATTERN_LINES};
pub use count::Count;
use deadline::Deadline;
pub use delay::Delay;
pub use dropout::Dropout;
pub use edge::{Edge, EitherEdge};
pub use inputs::{Input, Inputs};
pub use interval::Interval;
use lookahead::Lookahead;
pub use never::Never;
use pair::{Of, Pair, by_position};
pub use pattern::{LineState, Pattern, PatternEvent, PatternLine, PatternWhen};
pub use pulse::{Polarity, Pulse};
pub use qualified::Qualified;
pub use runt::Runt;
pub use sequence::{Sequence, Wait};
pub use serial::{BitOrder, I2c, I2cEvent, I2cWhen, Spi, SpiFormat};
pub use serial::{Parity, Uart, UartEvent, UartFormat, UartWhen};
pub use setup_hold::SetupHold;
pub use sides::Side;
use thresholds::{Step, Thresholds};
pub use transition::Transition;
pub use video::{Video, VideoField, VideoFormat, VideoStandard, VideoWhen};
pub use window::{Stay, Window, WindowEvent, WindowWhen};

use crate::{Block, Instant, Sample, Slope, Span};

/// An event: what the signal did, and when.
///
/// Converted to seconds, with the sample rate that the caller keeps:
///
/// ```
/// use stillwave::{Event, EventKind, Instant, Polarity, Span};
/// let kind = EventKind::Pulse { polarity: Polarity::Positive, width: Span::samples(3) };
/// let event = Event { at: Instant { position: 10, lead: 0x8000 }, kind };
/// // 9.5 samples at 1 MS/s; the width is 3 µs.
/// assert_eq!(event.at.samples() / 1e6, 9.5e-6);
/// assert_eq!(event.kind.time().map(|time| time.to_seconds(1e6)), Some(3e-6));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Event {
    /// When it happened.
    pub at: Instant,
    /// What happened.
    pub kind: EventKind,
}

/// What the signal did, with the times measured on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum EventKind {
    /// The signal passed a level.
    Edge {
        /// The direction.
        slope: Slope,
    },
    /// A pulse ended.
    Pulse {
        /// Whether the pulse was above or below its surroundings.
        polarity: Polarity,
        /// The width of the pulse.
        width: Span,
    },
    /// The signal passed a level for the second time in one direction.
    Interval {
        /// The direction.
        slope: Slope,
        /// The time since the first passage.
        time: Span,
    },
    /// The signal has stopped passing a level.
    Dropout {
        /// The time since it last did.
        time: Span,
    },
    /// The signal went from one level to another.
    Transition {
        /// The direction.
        slope: Slope,
        /// The time it took.
        time: Span,
    },
    /// A pulse ended that passed one level and did not reach the other.
    Runt {
        /// Whether the pulse was above or below its surroundings.
        polarity: Polarity,
        /// The width of the pulse.
        width: Span,
    },
    /// The signal entered or left a band of levels, or stayed inside or outside.
    Window {
        /// Which of these.
        what: WindowEvent,
    },
    /// An event came some time after another.
    Delay {
        /// The time between the two.
        time: Span,
    },
    /// The n-th event came.
    Count {
        /// The number n.
        events: u32,
    },
    /// One event came after another, as the sequence requires.
    Sequence {
        /// The time from the first to the second.
        time: Span,
    },
    /// Several channels together began to match a pattern, stopped matching it, or kept matching
    /// it.
    Pattern {
        /// Which of these.
        what: PatternEvent,
    },
    /// Data changed too shortly before a clock edge.
    Setup {
        /// The time from the change to the clock edge.
        time: Span,
    },
    /// Data changed too shortly after a clock edge.
    Hold {
        /// The time from the clock edge to the change.
        time: Span,
    },
    /// A character, an error or a break was seen on an asynchronous line.
    Uart {
        /// What was seen.
        what: UartEvent,
    },
    /// A start, a stop or a byte was seen on an I²C bus.
    I2c {
        /// What was seen.
        what: I2cEvent,
    },
    /// A word was sent on an SPI line.
    Spi {
        /// The word.
        word: u32,
    },
    /// A line or a field of a picture began.
    Video {
        /// The number of the line.
        line: u16,
        /// The field.
        field: VideoField,
    },
}

/// Finds events in a stream of samples.
///
/// A caller passes the blocks of a stream in order, calls [`next`](Self::next) on each until it
/// returns `None`, and reports lost samples by [`gap`](Self::gap); [`Trigger`](crate::Trigger) does
/// all three. Events come in order of position, each in the block that contains it, and do not
/// depend on how the stream is split into blocks.
///
/// A condition of your own, made from another one:
///
/// ```
/// use stillwave::{Block, Condition, Edge, Event, Holdoff, Level, Slope, Trigger};
/// /// Every second event of another condition.
/// struct Second<C> { of: C, odd: bool }
/// impl<C: Condition> Condition for Second<C> {
///     type Sample = C::Sample;
///     fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
///         while let Some(event) = self.of.next(block) {
///             self.odd = !self.odd;
///             if !self.odd {
///                 return Some(event);
///             }
///         }
///         None
///     }
///     fn gap(&mut self) {
///         self.of.gap();
///         self.odd = false;
///     }
///     fn reset(&mut self) {
///         self.of.reset();
///         self.odd = false;
///     }
/// }
/// let of = Edge::new(Slope::Rising, Level::<u8>::new(100, 10)?)?;
/// let mut trigger = Trigger::new(Second { of, odd: false }, Holdoff::None)?;
/// assert_eq!(trigger.count(&[0, 200, 0, 200, 0, 200, 0, 200]), 2);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
pub trait Condition {
    /// The type of the samples.
    type Sample: Sample;

    /// Returns the next event in `block`, or `None` when it holds no more.
    fn next(&mut self, block: &Block<'_, Self::Sample>) -> Option<Event>;

    /// Calls `f` for every event left in `block` whose position `accept` accepts. The result is
    /// that of calling [`next`](Self::next) to the end of the block; some conditions are faster at
    /// doing it all at once. `accept` is called once per event, in order.
    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, Self::Sample>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) where
        Self: Sized,
    {
        while let Some(event) = self.next(block) {
            if accept(event.at.position) {
                f(event);
            }
        }
    }

    /// Counts the events left in `block`. The result is that of calling [`next`](Self::next) to the
    /// end of the block; some conditions are faster at doing it all at once.
    #[inline]
    fn count(&mut self, block: &Block<'_, Self::Sample>) -> u64 {
        let mut count = 0;
        while self.next(block).is_some() {
            count += 1;
        }
        count
    }

    /// Reports that samples were lost here: anything in progress is discarded.
    fn gap(&mut self);

    /// Forgets the stream: the condition is as new.
    fn reset(&mut self);
}
