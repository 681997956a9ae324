//! Events in the few characters that a label has.

use std::borrow::Cow;

use stillwave::{EventKind, I2cEvent, PatternEvent, Polarity, Slope, Span, UartEvent, WindowEvent};

use crate::report::field_name;

/// A label of at most 20 characters, and how long the event took, if it took a time.
pub(super) fn of(kind: EventKind) -> (Cow<'static, str>, Option<Span>) {
    let said = match kind {
        EventKind::Uart { what } => return uart(what),
        EventKind::I2c { what } => i2c(what),
        EventKind::Spi { word } => format!("SPI 0x{word:X}").into(),
        EventKind::Video { line, field } => {
            format!("line {line} {} field", field_name(field)).into()
        }
        kind => {
            let (label, time) = analog(kind);
            return (label.into(), time);
        }
    };
    (said, None)
}

fn uart(what: UartEvent) -> (Cow<'static, str>, Option<Span>) {
    match what {
        UartEvent::Start => ("UART start".into(), None),
        UartEvent::Character { value } => (format!("UART 0x{value:02X}").into(), None),
        UartEvent::FramingError { value } => (format!("framing error 0x{value:02X}").into(), None),
        UartEvent::ParityError { value } => (format!("parity error 0x{value:02X}").into(), None),
        UartEvent::Break { time } => ("UART break".into(), Some(time)),
    }
}

fn i2c(what: I2cEvent) -> Cow<'static, str> {
    let answer = |acknowledged| if acknowledged { "" } else { " NACK" };
    match what {
        I2cEvent::Start => "I2C start".into(),
        I2cEvent::Stop => "I2C stop".into(),
        I2cEvent::Address { address, read, acknowledged } => {
            let direction = if read { "read" } else { "write" };
            format!("I2C {direction} 0x{address:02X}{}", answer(acknowledged)).into()
        }
        I2cEvent::Data { value, acknowledged } => {
            format!("I2C 0x{value:02X}{}", answer(acknowledged)).into()
        }
    }
}

fn analog(kind: EventKind) -> (&'static str, Option<Span>) {
    use Polarity::{Negative, Positive};
    use Slope::{Falling, Rising};
    match kind {
        EventKind::Edge { slope: Rising } => ("rising edge", None),
        EventKind::Edge { slope: Falling } => ("falling edge", None),
        EventKind::Pulse { polarity: Positive, width } => ("positive pulse", Some(width)),
        EventKind::Pulse { polarity: Negative, width } => ("negative pulse", Some(width)),
        EventKind::Interval { slope: Rising, time } => ("rising interval", Some(time)),
        EventKind::Interval { slope: Falling, time } => ("falling interval", Some(time)),
        EventKind::Dropout { time } => ("dropout", Some(time)),
        EventKind::Transition { slope: Rising, time } => ("rising transition", Some(time)),
        EventKind::Transition { slope: Falling, time } => ("falling transition", Some(time)),
        EventKind::Runt { polarity: Positive, width } => ("positive runt", Some(width)),
        EventKind::Runt { polarity: Negative, width } => ("negative runt", Some(width)),
        EventKind::Window { what } => match what {
            WindowEvent::Entered => ("window entered", None),
            WindowEvent::Left => ("window left", None),
            WindowEvent::StayedInside { time } => ("inside window", Some(time)),
            WindowEvent::StayedOutside { time } => ("outside window", Some(time)),
        },
        EventKind::Delay { time } => ("delay", Some(time)),
        EventKind::Count { .. } => ("count", None),
        EventKind::Sequence { time } => ("sequence", Some(time)),
        EventKind::Pattern { what } => match what {
            PatternEvent::Entered => ("pattern began", None),
            PatternEvent::Left => ("pattern ended", None),
            PatternEvent::Stayed { time } => ("pattern stayed", Some(time)),
        },
        EventKind::Setup { time } => ("setup too short", Some(time)),
        EventKind::Hold { time } => ("hold too short", Some(time)),
        _ => ("event", None),
    }
}

#[cfg(test)]
mod tests {
    use stillwave::VideoField;

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
            let (label, _) = of(kind);
            assert_eq!(label, expected);
            assert!(label.len() <= 20, "{label}");
        }
    }
}
