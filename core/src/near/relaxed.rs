//! A condition without its bound on time: its events are all that could have been an event.

use crate::{
    Comparison, Composition, EventKind, I2cWhen, PatternEvent, PatternWhen, Sample, Setup,
};
use crate::{Span, SpiFormat, Stay, UartEvent, UartWhen, VideoWhen, Wait, WindowEvent, WindowWhen};

/// A condition without its bound on time, or on what was received, and that bound.
///
/// Every event of the condition is an event of the relaxed one too, with a time that passes the
/// bound; the others are the near misses. (A dropout becomes the gap between two edges, reported at
/// the second.) If a condition bounds no time, there is nothing to relax, and levels alone decide.
///
/// ```
/// use stillwave::near::Relaxed;
/// use stillwave::{Comparison, Composition, Level, PulsePolarity, Setup, Span};
/// let level = Level::<u8>::new(100, 20)?;
/// let width = Comparison::LongerThan(Span::samples(5));
/// let setup = Setup::Pulse { polarity: PulsePolarity::Positive, level, width };
/// let relaxed = Relaxed::of(&Composition::Single(setup)).unwrap();
/// assert_eq!(relaxed.time, Some(width));
/// let Composition::Single(Setup::Pulse { width, .. }) = relaxed.setup else { panic!() };
/// assert!(width.holds(Span::samples(1)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relaxed<T: Sample> {
    /// The relaxed condition.
    pub setup: Composition<T>,
    /// The times that count, to compare with the event's [`time`](EventKind::time); `None` if
    /// something else counts.
    pub time: Option<Comparison>,
}

const ANY: Comparison = Comparison::Within(Span::ZERO, Span::MAX);

impl<T: Sample> Relaxed<T> {
    /// Makes the condition without its bound; `None` if it has no bound.
    pub fn of(composition: &Composition<T>) -> Option<Self> {
        let (setup, time) = match *composition {
            Composition::Single(setup) => return Self::of_single(setup),
            Composition::Delay { from, to, time } => {
                (Composition::Delay { from, to, time: ANY }, Some(time))
            }
            Composition::Count { of, .. } => (Composition::Single(of), None),
            Composition::Sequence { first, then, wait, .. } => {
                let latest = wait.timeout.map_or(Span::MAX, |timeout| {
                    Span::from_parts(Span::samples(timeout).parts().saturating_sub(1))
                });
                let earliest = Span::samples(wait.delay);
                let setup =
                    Composition::Sequence { first, then, wait: Wait::default(), reset: None };
                (setup, Some(Comparison::Within(earliest, latest)))
            }
            Composition::Pattern { lines, when: PatternWhen::Stays(stay) } => {
                let when = PatternWhen::Stays(Stay::ShorterThan(Span::MAX));
                (Composition::Pattern { lines, when }, Some(of_stay(stay)))
            }
            Composition::Pattern { .. } => return None,
            Composition::SetupHold { clock, data, setup, hold } => {
                let (before, after, time) = if setup > Span::ZERO {
                    (Span::MAX, Span::ZERO, setup)
                } else {
                    (Span::ZERO, Span::MAX, hold)
                };
                let setup = Composition::SetupHold { clock, data, setup: before, hold: after };
                (setup, Some(Comparison::ShorterThan(time)))
            }
            Composition::Qualified { of, .. } => {
                return Some(
                    Self::of_single(of)
                        .unwrap_or(Self { setup: Composition::Single(of), time: None }),
                );
            }
            Composition::Uart { level, format, when: UartWhen::Break(time) } => {
                // Every absence from rest, told at its end: as a pulse.
                let polarity = match format.idle {
                    crate::Side::High => crate::PulsePolarity::Negative,
                    crate::Side::Low => crate::PulsePolarity::Positive,
                };
                let setup =
                    Setup::Pulse { polarity, level: of_line(level, format.idle), width: ANY };
                let least = Span::from_parts(time.parts().saturating_sub(1));
                (Composition::Single(setup), Some(Comparison::LongerThan(least)))
            }
            Composition::Uart { level, format, .. } => {
                (Composition::Uart { level, format, when: UartWhen::Any }, None)
            }
            Composition::I2c { clock, data, spikes, .. } => {
                (Composition::I2c { clock, data, when: I2cWhen::Any, spikes }, None)
            }
            Composition::Spi { clock, data, select, format } => {
                let format = SpiFormat { mask: 0, ..format };
                (Composition::Spi { clock, data, select, format }, None)
            }
            Composition::Video { level, format, .. } => {
                (Composition::Video { level, format, when: VideoWhen::AnyLine }, None)
            }
        };
        Some(Self { setup, time })
    }

    fn of_single(setup: Setup<T>) -> Option<Self> {
        let (setup, time) = match setup {
            Setup::Edge { .. }
            | Setup::Window { when: WindowWhen::Enters | WindowWhen::Leaves, .. } => {
                return None;
            }
            Setup::Pulse { polarity, level, width } => {
                (Setup::Pulse { polarity, level, width: ANY }, width)
            }
            Setup::Interval { slope, level, time } => {
                (Setup::Interval { slope, level, time: ANY }, time)
            }
            Setup::Dropout { slope, level, after } => {
                let edge = Setup::Edge { slope, level };
                let setup = Composition::Delay { from: edge, to: edge, time: ANY };
                let time = Some(Comparison::LongerThan(Span::samples(after)));
                return Some(Self { setup, time });
            }
            Setup::Transition { slope, band, time } => {
                (Setup::Transition { slope, band, time: ANY }, time)
            }
            Setup::Runt { polarity, band, width } => {
                (Setup::Runt { polarity, band, width: None }, width?)
            }
            Setup::Window { band, when: WindowWhen::StaysInside(stay) } => {
                let any = WindowWhen::StaysInside(Stay::ShorterThan(Span::MAX));
                (Setup::Window { band, when: any }, of_stay(stay))
            }
            Setup::Window { band, when: WindowWhen::StaysOutside(stay) } => {
                let any = WindowWhen::StaysOutside(Stay::ShorterThan(Span::MAX));
                (Setup::Window { band, when: any }, of_stay(stay))
            }
        };
        Some(Self { setup: Composition::Single(setup), time: Some(time) })
    }
}

/// The level at which a line leaves its idle side; it is high from x ≥ L on and low from x < L − h
/// on.
fn of_line<T: Sample>(level: crate::Level<T>, idle: crate::Side) -> crate::Level<T> {
    match idle {
        crate::Side::Low => level,
        crate::Side::High => crate::Level {
            // Low from here on; high again at the level itself.
            level: T::saturating_sub(T::saturating_sub(level.level, level.hysteresis), T::STEP),
            ..level
        },
    }
}

fn of_stay(stay: Stay) -> Comparison {
    match stay {
        Stay::LongerThan(samples) => Comparison::LongerThan(Span::samples(samples)),
        Stay::ShorterThan(bound) => Comparison::ShorterThan(bound),
    }
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
            _ => None,
        }
    }
}
