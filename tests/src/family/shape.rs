//! The shapes of the signals, as voltages over time in cycles.

use std::f64::consts::{PI, TAU};

use crate::dice::Dice;

/// A kind of signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A sine.
    Sine,
    /// A triangle of equal sides.
    Triangle,
    /// A ramp up or down, and a jump back.
    Saw,
    /// A square wave.
    Square,
    /// Pulses, high for 0.1 to 99.9 % of the time.
    Pulses,
    /// A square wave through a low pass of a resistor and a capacitor.
    Rc,
    /// A square wave whose edges ring.
    Ringing,
    /// Ramps between two rests.
    Trapezoid,
    /// Three to six levels in turn, up and back to the first.
    Stairs,
    /// A bridge's output: positive, none, negative, none.
    ThreeLevels,
    /// A sine, modulated in amplitude by 10 to 50 %.
    Modulated,
    /// A sine that decays to 70 to 5 %.
    Decay,
    /// A sine with 5 to 20 % of its third harmonic, at any phase.
    ThirdHarmonic,
    /// A sine without its middle part: crossover distortion.
    Crossover,
    /// A sine, rectified by one diode or a bridge of four.
    Rectified,
    /// A sine, a triangle or a trapezoid with one to three samples far off.
    Spikes,
}

impl Class {
    /// All of them.
    pub const ALL: [Self; 16] = [
        Self::Sine,
        Self::Triangle,
        Self::Saw,
        Self::Square,
        Self::Pulses,
        Self::Rc,
        Self::Ringing,
        Self::Trapezoid,
        Self::Stairs,
        Self::ThreeLevels,
        Self::Modulated,
        Self::Decay,
        Self::ThirdHarmonic,
        Self::Crossover,
        Self::Rectified,
        Self::Spikes,
    ];

    /// Its name in a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sine => "sine",
            Self::Triangle => "triangle",
            Self::Saw => "saw",
            Self::Square => "square",
            Self::Pulses => "pulses of 0.1 to 99.9 %",
            Self::Rc => "RC charge and discharge",
            Self::Ringing => "ringing edges",
            Self::Trapezoid => "trapezoid",
            Self::Stairs => "stairs of 3 to 6 levels",
            Self::ThreeLevels => "three levels of a bridge",
            Self::Modulated => "amplitude modulated by 10 to 50 %",
            Self::Decay => "decay to 70 to 5 %",
            Self::ThirdHarmonic => "5 to 20 % of third harmonic",
            Self::Crossover => "crossover distortion",
            Self::Rectified => "rectified sine",
            Self::Spikes => "1 to 3 spikes of one sample",
        }
    }
}

/// The voltage at a time, in cycles.
pub(super) type Volts = Box<dyn Fn(f64) -> f64>;

/// A shape and what is known of it on paper.
pub(super) struct Shape {
    pub(super) volts: Volts,
    /// Its two states; without them, high and low are its peaks.
    pub(super) states: Option<(f64, f64)>,
    /// Every cycle is the same.
    pub(super) periodic: bool,
    /// The fewest samples of a cycle that show it.
    pub(super) least_samples: f64,
    /// The fewest cycles.
    pub(super) least_cycles: f64,
    /// The fastest edge, in cycles: 0 where it jumps.
    pub(super) edge: f64,
    /// Has a duty at its middle.
    pub(super) duty: bool,
    /// Samples far off that are put in.
    pub(super) spikes: u64,
}

impl Shape {
    fn periodic(volts: Volts, least_samples: f64) -> Self {
        Self {
            volts,
            states: None,
            periodic: true,
            least_samples,
            least_cycles: 0.9,
            edge: 1.0,
            duty: true,
            spikes: 0,
        }
    }

    fn resting(volts: Volts, least_samples: f64) -> Self {
        Self { states: Some((0.0, 1.0)), ..Self::periodic(volts, least_samples) }
    }

    pub(super) fn of(class: Class, dice: &mut Dice) -> Self {
        match class {
            Class::Sine => Self::periodic(Box::new(|t| (TAU * t).sin()), 5.0),
            Class::Triangle => Self::periodic(Box::new(triangle), 5.0),
            Class::Saw => {
                let sign = dice.pick(&[1.0, -1.0]);
                let saw = move |t: f64| sign * (t.rem_euclid(1.0) - 0.5);
                Self { edge: 0.0, ..Self::periodic(Box::new(saw), 8.0) }
            }
            Class::Square => {
                let square = |t: f64| f64::from(u8::from(t.rem_euclid(1.0) < 0.5));
                Self { edge: 0.0, ..Self::resting(Box::new(square), 6.0) }
            }
            Class::Pulses => {
                let odds = (1000.0_f64.ln() * (2.0 * dice.unit() - 1.0)).exp();
                let duty = (odds / (1.0 + odds)).clamp(0.001, 0.999);
                let pulse = move |t: f64| f64::from(u8::from(t.rem_euclid(1.0) < duty));
                let least = 2.0 / duty.min(1.0 - duty);
                Self { edge: 0.0, ..Self::resting(Box::new(pulse), least) }
            }
            Class::Rc => {
                let times = dice.between_log(1.0, 30.0);
                let end = (-times).exp();
                let rc = move |t: f64| {
                    let t = t.rem_euclid(1.0);
                    let charge = |t: f64| 1.0 - (-2.0 * times * t).exp() / (1.0 + end);
                    if t < 0.5 { charge(t) } else { 1.0 - charge(t - 0.5) }
                };
                Self::periodic(Box::new(rc), (4.0 * times).max(10.0))
            }
            Class::Ringing => ringing(dice),
            Class::Trapezoid => trapezoid(dice),
            Class::Stairs => stairs(dice),
            Class::ThreeLevels => {
                let on = dice.between(0.15, 0.4);
                let bridge = move |t: f64| {
                    let t = t.rem_euclid(1.0);
                    let half = if t < 0.5 { 1.0 } else { 0.0 };
                    if t.rem_euclid(0.5) < on { half } else { 0.5 }
                };
                let shape = Self::resting(Box::new(bridge), 4.0 / (0.5 - on));
                Self { edge: 0.0, duty: false, ..shape }
            }
            Class::Modulated => {
                let (depth, phase) = (dice.between(0.1, 0.5), dice.unit());
                let slow = dice.between_log(0.005, 0.15);
                let modulated = move |t: f64| {
                    (TAU * t).sin() * (1.0 + depth * (TAU * (slow * t + phase)).sin())
                };
                Self {
                    periodic: false,
                    least_cycles: 6.0,
                    ..Self::periodic(Box::new(modulated), 5.0)
                }
            }
            // The rate is put in where the record's length is known.
            Class::Decay => Self {
                periodic: false,
                duty: false,
                least_cycles: 3.0,
                ..Self::periodic(Box::new(|t| (TAU * t).sin()), 8.0)
            },
            Class::ThirdHarmonic => {
                let (part, phase) = (dice.between(0.05, 0.2), dice.unit());
                let mix = move |t: f64| (TAU * t).sin() + part * (TAU * (3.0 * t + phase)).sin();
                Self::periodic(Box::new(mix), 12.0)
            }
            Class::Crossover => {
                let dead = dice.between(0.05, 0.25);
                let crossover = move |t: f64| {
                    let sine = (TAU * t).sin();
                    sine.signum() * (sine.abs() - dead).max(0.0)
                };
                Self::periodic(Box::new(crossover), 10.0)
            }
            Class::Rectified => {
                if dice.below(2) == 0 {
                    Self::periodic(Box::new(|t| (PI * t).sin().abs()), 8.0)
                } else {
                    Self::periodic(Box::new(|t| (TAU * t).sin().max(0.0)), 10.0)
                }
            }
            Class::Spikes => {
                let base = match dice.below(3) {
                    0 => Self::periodic(Box::new(|t| (TAU * t).sin() / 2.0), 8.0),
                    1 => Self::periodic(Box::new(|t| triangle(t) / 2.0), 8.0),
                    _ => trapezoid(dice),
                };
                Self { spikes: 1 + dice.below(3), ..base }
            }
        }
    }
}

fn triangle(t: f64) -> f64 {
    1.0 - 4.0 * ((t + 0.25).rem_euclid(1.0) - 0.5).abs()
}

fn trapezoid(dice: &mut Dice) -> Shape {
    let (rise, fall) = (dice.between_log(0.01, 0.3), dice.between_log(0.01, 0.3));
    let rest = 1.0 - rise - fall;
    let top = rest * dice.between(0.2, 0.8);
    let volts = move |t: f64| {
        let t = t.rem_euclid(1.0);
        if t < rise {
            t / rise
        } else if t < rise + top {
            1.0
        } else if t < rise + top + fall {
            1.0 - (t - rise - top) / fall
        } else {
            0.0
        }
    };
    let shape = Shape::resting(Box::new(volts), 4.0 / top.min(rest - top));
    Shape { edge: rise.min(fall), ..shape }
}

fn stairs(dice: &mut Dice) -> Shape {
    let levels = 3 + dice.below(4);
    let back = dice.below(2) == 0;
    let steps = if back { 2 * levels - 2 } else { levels };
    let volts = move |t: f64| {
        let step = (t.rem_euclid(1.0) * steps as f64) as u64 % steps;
        let level = if step < levels { step } else { steps - step };
        level as f64 / (levels - 1) as f64
    };
    let shape = Shape::resting(Box::new(volts), 4.0 * steps as f64);
    Shape { edge: 0.0, duty: levels.is_multiple_of(2), ..shape }
}

/// Both states are rung out to a four-hundredth before the next edge.
fn ringing(dice: &mut Dice) -> Shape {
    let damping = dice.between(0.1, 0.6);
    let root = (1.0 - damping * damping).sqrt();
    let high = dice.between(0.35, 0.65);
    let turn = dice.between(6.0, 20.0) / (damping * high.min(1.0 - high));
    let step = move |t: f64| {
        let t = t * turn;
        1.0 - (-damping * t).exp() * ((root * t).cos() + damping / root * (root * t).sin())
    };
    let volts = move |t: f64| {
        let t = t.rem_euclid(1.0);
        if t < high {
            step(t) - step(t + 1.0 - high) + step(t + 1.0)
        } else {
            step(t) - step(t - high)
        }
    };
    Shape::resting(Box::new(volts), turn)
}
