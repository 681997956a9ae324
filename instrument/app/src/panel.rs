//! The three knobs, and what each does.
//!
//! ```text
//!   LEVEL                  TIME                     VOLTS
//!   turn   level           turn   time a division   turn   volts a division
//!   press  slope                  or the holdoff           or the position
//!   hold   automatic       press  which of the two  press  run / stop
//!          set-up          hold   mode              hold   which of the two
//! ```

use embedded_hal::digital::InputPin;

use crate::knob::{Knob, Turned};

/// What a hand asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Action {
    /// The level, by so many steps: a tenth of a division each.
    Level(i32),
    /// The next slope.
    Slope,
    /// Settings that fit the signal.
    Automatic,
    /// The time a division or the holdoff, by so many steps.
    Time(i32),
    /// Run or stop.
    RunStop,
    /// The next mode: auto, normal, single.
    Mode,
    /// Volts a division or the position, by so many steps.
    Volts(i32),
    /// The volts' knob turns the other: volts a division, or the position.
    VoltsOther,
    /// The time's knob turns the other: time a division, or the holdoff.
    TimeOther,
}

/// Three knobs.
pub struct Panel<A, B, S> {
    level: Knob<A, B, S>,
    time: Knob<A, B, S>,
    volts: Knob<A, B, S>,
}

impl<A: InputPin, B: InputPin, S: InputPin> Panel<A, B, S> {
    /// The knobs for level, time and volts.
    pub fn new(level: Knob<A, B, S>, time: Knob<A, B, S>, volts: Knob<A, B, S>) -> Self {
        Self { level, time, volts }
    }

    /// Looks at all knobs, once a millisecond.
    pub fn poll(&mut self, milliseconds: u64, mut on_action: impl FnMut(Action)) {
        if let Some(turned) = self.level.poll(milliseconds) {
            on_action(match turned {
                Turned::By(steps) => Action::Level(steps),
                Turned::Pressed => Action::Slope,
                Turned::PressedLong => Action::Automatic,
            });
        }
        // Lists of few steps: a detent is one, however fast.
        if let Some(turned) = self.time.poll(milliseconds) {
            on_action(match turned {
                Turned::By(steps) => Action::Time(steps.signum()),
                Turned::Pressed => Action::TimeOther,
                Turned::PressedLong => Action::Mode,
            });
        }
        if let Some(turned) = self.volts.poll(milliseconds) {
            on_action(match turned {
                Turned::By(steps) => Action::Volts(steps),
                Turned::Pressed => Action::RunStop,
                Turned::PressedLong => Action::VoltsOther,
            });
        }
    }
}
