//! A rotary encoder with its push button.

use debouncr::{Debouncer, Edge, Repeat8, debounce_8};
use embedded_hal::digital::InputPin;
use rotary_encoder_embedded::angular_velocity::AngularVelocityMode;
use rotary_encoder_embedded::{Direction, RotaryEncoder};

/// A button held down for so many polls (milliseconds) was pressed long.
const LONG: u16 = 700;

/// What a hand did to a knob.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Turned {
    /// By so many detents, clockwise positive; more than one where it was fast.
    By(i32),
    /// Pressed and let go.
    Pressed,
    /// Held down.
    PressedLong,
}

/// An encoder and its button, all switching to ground, polled once a millisecond.
pub struct Knob<A, B, S> {
    encoder: RotaryEncoder<AngularVelocityMode, A, B>,
    button: S,
    debounced: Debouncer<u8, Repeat8>,
    /// Polls since it went down; `LONG` and over once that was told.
    held: Option<u16>,
}

impl<A: InputPin, B: InputPin, S: InputPin> Knob<A, B, S> {
    /// A knob whose contact A closes first when it is turned clockwise.
    pub fn new(a: A, b: B, button: S) -> Self {
        let mut encoder = RotaryEncoder::new(a, b).into_angular_velocity_mode();
        // A detent adds a fifth, which is gone after a tenth of a second: ten detents a second
        // and more speed up, to the fastest within five.
        encoder.set_velocity_inc_factor(0.2);
        encoder.set_velocity_dec_factor(0.002);
        Self { encoder, button, debounced: debounce_8(false), held: None }
    }

    /// Looks at the pins, once a millisecond.
    pub fn poll(&mut self, milliseconds: u64) -> Option<Turned> {
        let speed = self.encoder.velocity();
        let direction = self.encoder.update(milliseconds);
        self.encoder.decay_velocity();
        // A detent is a step when turned slowly, and up to ten when turned fast.
        let steps = 1 + (speed * 9.0) as i32;
        match direction {
            Direction::Clockwise => return Some(Turned::By(steps)),
            Direction::Anticlockwise => return Some(Turned::By(-steps)),
            Direction::None => {}
        }
        let down = self.button.is_low().unwrap_or(false);
        match self.debounced.update(down) {
            Some(Edge::Rising) => self.held = Some(0),
            Some(Edge::Falling) => {
                return self.held.take().filter(|&held| held < LONG).map(|_| Turned::Pressed);
            }
            None => {}
        }
        let held = self.held.as_mut()?;
        *held = held.saturating_add(1);
        (*held == LONG).then_some(Turned::PressedLong)
    }
}

#[cfg(test)]
mod tests {
    use super::{Knob, Turned};
    use core::convert::Infallible;
    use embedded_hal::digital::{ErrorType, InputPin};
    use std::{cell::Cell, rc::Rc};

    /// A pin that the test sets.
    #[derive(Clone)]
    struct Pin(Rc<Cell<bool>>);

    impl Default for Pin {
        fn default() -> Self {
            Self(Rc::new(Cell::new(true)))
        }
    }

    impl ErrorType for Pin {
        type Error = Infallible;
    }

    impl InputPin for Pin {
        fn is_high(&mut self) -> Result<bool, Infallible> {
            Ok(self.0.get())
        }
        fn is_low(&mut self) -> Result<bool, Infallible> {
            Ok(!self.0.get())
        }
    }

    struct Hand {
        knob: Knob<Pin, Pin, Pin>,
        pins: [Pin; 3],
        now: u64,
    }

    impl Hand {
        fn new() -> Self {
            let pins = [Pin::default(), Pin::default(), Pin::default()];
            let [a, b, s] = pins.clone();
            Self { knob: Knob::new(a, b, s), pins, now: 0 }
        }

        fn wait(&mut self, milliseconds: u64) -> Vec<Turned> {
            let end = self.now + milliseconds;
            let mut found = Vec::new();
            while self.now < end {
                self.now += 1;
                found.extend(self.knob.poll(self.now));
            }
            found
        }

        /// One detent, in so many milliseconds.
        fn detent(&mut self, clockwise: bool, milliseconds: u64) -> Vec<Turned> {
            let (first, second) = if clockwise { (0, 1) } else { (1, 0) };
            let mut found = Vec::new();
            for (pin, level) in [(first, false), (second, false), (first, true), (second, true)] {
                self.pins[pin].0.set(level);
                found.extend(self.wait(milliseconds / 4));
            }
            found
        }
    }

    #[test]
    fn a_slow_turn_is_a_step_a_detent() {
        let mut hand = Hand::new();
        hand.wait(100);
        for _ in 0..10 {
            assert_eq!(hand.detent(true, 200), [Turned::By(1)]);
        }
        for _ in 0..10 {
            assert_eq!(hand.detent(false, 200), [Turned::By(-1)]);
        }
    }

    #[test]
    fn a_fast_turn_goes_farther_and_slows_down_again() {
        let mut hand = Hand::new();
        hand.wait(100);
        let total: i32 = (0..20)
            .flat_map(|_| hand.detent(true, 20))
            .map(|turned| if let Turned::By(steps) = turned { steps } else { 0 })
            .sum();
        assert!((100..=200).contains(&total), "20 detents in 0.4 s made {total} steps");
        hand.wait(600);
        assert_eq!(hand.detent(true, 200), [Turned::By(1)]);
    }

    #[test]
    fn a_press_is_short_or_long_and_bouncing_is_neither() {
        let mut hand = Hand::new();
        hand.wait(100);
        for _ in 0..3 {
            hand.pins[2].0.set(false);
            assert_eq!(hand.wait(3), []);
            hand.pins[2].0.set(true);
            assert_eq!(hand.wait(3), []);
        }
        hand.pins[2].0.set(false);
        assert_eq!(hand.wait(200), []);
        hand.pins[2].0.set(true);
        assert_eq!(hand.wait(50), [Turned::Pressed]);
        hand.pins[2].0.set(false);
        assert_eq!(hand.wait(2_000), [Turned::PressedLong]);
        hand.pins[2].0.set(true);
        assert_eq!(hand.wait(50), []);
    }
}
