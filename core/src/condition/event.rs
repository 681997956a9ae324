//! What conditions report.

use super::{I2cEvent, PatternEvent, Polarity, UartEvent, VideoField, WindowEvent};
use crate::{Instant, Slope, Span};

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
#[cfg_attr(not(feature = "exhaustive"), non_exhaustive)]
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

impl EventKind {
    /// The time that was measured, if there is one.
    pub fn time(&self) -> Option<Span> {
        match *self {
            Self::Pulse { width: time, .. }
            | Self::Runt { width: time, .. }
            | Self::Interval { time, .. }
            | Self::Dropout { time }
            | Self::Transition { time, .. }
            | Self::Delay { time }
            | Self::Sequence { time }
            | Self::Setup { time }
            | Self::Hold { time }
            | Self::Uart { what: UartEvent::Break { time } }
            | Self::Pattern { what: PatternEvent::Stayed { time } }
            | Self::Window {
                what: WindowEvent::StayedInside { time } | WindowEvent::StayedOutside { time },
            } => Some(time),
            Self::Edge { .. }
            | Self::Window { what: WindowEvent::Entered | WindowEvent::Left }
            | Self::Count { .. }
            | Self::Pattern { what: PatternEvent::Entered | PatternEvent::Left }
            | Self::Uart { .. }
            | Self::I2c { .. }
            | Self::Spi { .. }
            | Self::Video { .. } => None,
        }
    }
}
