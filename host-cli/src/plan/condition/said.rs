//! What an event says, for tables, labels and sentences.

use std::borrow::Cow;

use stillwave::{EventKind, Polarity, Slope, Span};

use super::{count, delay, dropout, edge, i2c, interval, pattern, pulse};
use super::{runt, sequence, setup_hold, spi, transition, uart, video, window};

/// What an event says. Most events say little of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Said {
    /// `edge`, `pulse`, …
    pub(crate) kind: &'static str,
    /// The event in at most 20 characters.
    pub(crate) label: Cow<'static, str>,
    pub(crate) slope: Option<Slope>,
    pub(crate) polarity: Option<Polarity>,
    /// What happened at a window or to a pattern, or was said on a serial line.
    pub(crate) what: Option<&'static str>,
    /// How long it took, and what that time is.
    pub(crate) time: Option<(Lasted, Span)>,
    pub(crate) events: Option<u32>,
    pub(crate) address: Option<u8>,
    pub(crate) read: Option<bool>,
    pub(crate) value: Option<u32>,
    pub(crate) acknowledged: Option<bool>,
    pub(crate) line: Option<u16>,
    pub(crate) field: Option<&'static str>,
    /// Columns of a table that other events of the condition fill, and this one may not.
    pub(crate) columns: &'static [&'static str],
}

/// What the time of an event is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lasted {
    /// The width of a pulse.
    Width,
    /// The time from one edge to the next.
    Interval,
    /// Any other.
    Duration,
}

impl Said {
    /// An event that says nothing more.
    pub(super) fn new(kind: &'static str, label: impl Into<Cow<'static, str>>) -> Self {
        Self { kind, label: label.into(), ..Self::default() }
    }

    /// An event that took a time.
    pub(super) fn lasting(kind: &'static str, label: &'static str, time: Span) -> Self {
        Self { time: Some((Lasted::Duration, time)), ..Self::new(kind, label) }
    }
}

/// What an event says.
pub(crate) fn said(kind: EventKind) -> Said {
    match kind {
        EventKind::Edge { slope } => edge::said(slope),
        EventKind::Pulse { polarity, width } => pulse::said(polarity, width),
        EventKind::Interval { slope, time } => interval::said(slope, time),
        EventKind::Dropout { time } => dropout::said(time),
        EventKind::Transition { slope, time } => transition::said(slope, time),
        EventKind::Runt { polarity, width } => runt::said(polarity, width),
        EventKind::Window { what } => window::said(what),
        EventKind::Delay { time } => delay::said(time),
        EventKind::Count { events } => count::said(events),
        EventKind::Sequence { time } => sequence::said(time),
        EventKind::Pattern { what } => pattern::said(what),
        EventKind::Setup { time } => setup_hold::said_setup(time),
        EventKind::Hold { time } => setup_hold::said_hold(time),
        EventKind::Uart { what } => uart::said(what),
        EventKind::I2c { what } => i2c::said(what),
        EventKind::Spi { word } => spi::said(word),
        EventKind::Video { line, field } => video::said(line, field),
    }
}

#[cfg(test)]
mod tests {
    use stillwave::{I2cEvent, UartEvent, VideoField};

    use super::*;

    #[test]
    fn what_was_said_is_in_the_label() {
        let time = Span::samples(3);
        let address = |address, read, acknowledged| EventKind::I2c {
            what: I2cEvent::Address { address, read, acknowledged },
        };
        let labels = [
            (EventKind::Uart { what: UartEvent::Character { value: 0x55 } }, "UART 0x55"),
            (
                EventKind::Uart { what: UartEvent::FramingError { value: 0x1FF } },
                "framing error 0x1FF",
            ),
            (EventKind::Uart { what: UartEvent::Break { time } }, "UART break"),
            (address(0x50, true, true), "I2C read 0x50"),
            (address(0x7F, false, false), "I2C write 0x7F NACK"),
            (EventKind::Spi { word: u32::MAX }, "SPI 0xFFFFFFFF"),
            (EventKind::Video { line: 625, field: VideoField::Second }, "line 625 even field"),
            (EventKind::Setup { time }, "setup too short"),
        ];
        for (kind, expected) in labels {
            let label = said(kind).label;
            assert_eq!(label, expected);
            assert!(label.len() <= 20, "{label}");
        }
    }
}
