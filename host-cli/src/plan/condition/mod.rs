//! How each condition is read from the options and described: one file each, and one list.

mod count;
mod delay;
mod description;
mod dropout;
mod edge;
mod event_text;
mod i2c;
mod interval;
mod pattern;
mod pulse;
mod qualified;
mod runt;
mod sequence;
mod setup_hold;
mod spi;
mod transition;
mod uart;
mod video;
mod window;

pub(crate) use description::{Described, Description, Line};
pub(crate) use event_text::{EventText, TimeKind};

use clap::ValueEnum;
use stillwave::{Composition, EventKind, Qualifiable, Sample, Setup};

use super::{Ask, Mark, Need, Sources, words};
use crate::args::ConditionName;
use crate::error::Error;

/// From one list, all that differs by condition.
macro_rules! conditions {
    (
        on the levels of one channel { $($single:ident $Single:ident,)* }
        on one channel { $($one:ident $One:ident,)* }
        on several { $($several:ident $Several:ident,)* }
    ) => {
        /// The options that a condition takes.
        fn options(condition: ConditionName) -> &'static [&'static str] {
            match condition {
                $(ConditionName::$Single => $single::OPTIONS,)*
                $(ConditionName::$One => $one::OPTIONS,)*
                $(ConditionName::$Several => $several::OPTIONS,)*
            }
        }

        /// The condition that the options ask for.
        fn read<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
            let of: Qualifiable<T> = match ask.args.on {
                $(ConditionName::$Single => Setup::from($single::config(ask)?).into(),)*
                $(ConditionName::$One => $one::config(ask)?.into(),)*
                $(ConditionName::$Several => return Ok($several::config(ask)?.into()),)*
            };
            qualified::qualified(ask, of)
        }

        impl<T: Sample> Described<T> for Setup<T> {
            fn description(&self) -> &dyn Description<T> {
                match self {
                    $(Self::$Single(config) => config,)*
                }
            }
        }

        impl<T: Sample> Described<T> for Qualifiable<T> {
            fn description(&self) -> &dyn Description<T> {
                match self {
                    Self::Single(config) => config.description(),
                    $(Self::$One(config) => config,)*
                }
            }
        }

        impl<T: Sample> Described<T> for Composition<T> {
            fn description(&self) -> &dyn Description<T> {
                match self {
                    Self::Single(config) => config.description(),
                    Self::Qualified(config) => config,
                    $(Self::$One(config) => config,)*
                    $(Self::$Several(config) => config,)*
                }
            }
        }
    };
}

conditions! {
    on the levels of one channel {
        edge Edge,
        pulse Pulse,
        interval Interval,
        dropout Dropout,
        transition Transition,
        runt Runt,
        window Window,
    }
    on one channel {
        delay Delay,
        count Count,
        sequence Sequence,
        uart Uart,
        video Video,
    }
    on several {
        pattern Pattern,
        setup_hold SetupHold,
        i2c I2c,
        spi Spi,
    }
}

/// The condition that the options ask for.
///
/// # Errors
/// An option that is missing, or that the condition has no use for; quantities whose unit needs
/// more to be known.
pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let on = ask.args.on;
    if let Some(option) = ask.args.given().find(|option| !options(on).contains(option)) {
        let others = ConditionName::value_variants().iter();
        let others = others.filter(|other| options(**other).contains(&option));
        let others: Vec<_> = others.map(|other| format!("--on {}", other.name())).collect();
        return Err(Error::usage(
            format!("{option} has no use with --on {}", on.name()),
            format!("leave it out, or choose {}", others.join(" or ")),
        ));
    }
    read(ask)
}

/// What an event says.
pub(crate) fn event_text(kind: EventKind) -> EventText {
    match kind {
        EventKind::Edge { slope } => edge::event_text(slope),
        EventKind::Pulse { polarity, width } => pulse::event_text(polarity, width),
        EventKind::Interval { slope, time } => interval::event_text(slope, time),
        EventKind::Dropout { time } => dropout::event_text(time),
        EventKind::Transition { slope, time } => transition::event_text(slope, time),
        EventKind::Runt { polarity, width } => runt::event_text(polarity, width),
        EventKind::Window { what } => window::event_text(what),
        EventKind::Delay { time } => delay::event_text(time),
        EventKind::Count { events } => count::event_text(events),
        EventKind::Sequence { time } => sequence::event_text(time),
        EventKind::Pattern { what } => pattern::event_text(what),
        EventKind::Setup { time } => setup_hold::setup_text(time),
        EventKind::Hold { time } => setup_hold::hold_text(time),
        EventKind::Uart { what } => uart::event_text(what),
        EventKind::I2c { what } => i2c::event_text(what),
        EventKind::Spi { word } => spi::event_text(word),
        EventKind::Video { line, field } => video::event_text(line, field),
    }
}

#[cfg(test)]
mod tests {
    use stillwave::{I2cEvent, Span, UartEvent, VideoField};

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
            let label = event_text(kind).label;
            assert_eq!(label, expected);
            assert!(label.len() <= 20, "{label}");
        }
    }
}
