//! One signal of the family: samples, and what is true of them.

use super::shape::{Class, Shape};
use super::truth::{Truth, View};
use crate::dice::Dice;

/// Which cases: those that constants are chosen on, or those that are judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seeds {
    /// For choosing the engine's constants.
    Tuning,
    /// For tests and the published table: never looked at while choosing.
    Judged,
}

/// One signal.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its class.
    pub class: Class,
    /// Its number in its class.
    pub number: u64,
    /// What a converter gives.
    pub samples: Vec<u16>,
    /// What is true of it, in counts and samples.
    pub truth: Truth,
    /// The standard deviation of the noise, in parts of the amplitude.
    pub noise: f64,
    /// Samples in a cycle.
    pub period: f64,
    /// The converter's bits.
    pub bits: u32,
}

impl Case {
    /// The case of a class and a number; any number is one.
    pub fn new(seeds: Seeds, class: Class, number: u64) -> Self {
        let place = Class::ALL.iter().position(|&other| other == class).unwrap_or(0) as u64;
        let start = match seeds {
            Seeds::Tuning => 0x7475_6e65,
            Seeds::Judged => 0x6a75_6467_6564,
        };
        let mut dice = Dice::new(start ^ (number << 16 | place << 8).wrapping_mul(0x9E37_79B9));
        // Neighbouring seeds begin alike.
        let mut dice = Dice::new(dice.bits());
        let mut shape = Shape::of(class, &mut dice);
        let least = shape.least_samples;
        let len = dice.between_log(200.0, 5000.0).max(least * (shape.least_cycles + 0.1)) as usize;
        let most = (len as f64 / least).min(200.0);
        let mut period = len as f64 / dice.between_log(shape.least_cycles, most);
        let locked = dice.below(2) == 0;
        let mut start = dice.unit();
        if locked {
            period = period.round().max(least.ceil());
            start = if dice.below(2) == 0 { 0.0 } else { start };
        }
        if class == Class::Decay {
            let cycles = len as f64 / period;
            let rate = -dice.between_log(0.05, 0.7).ln() / cycles;
            let sine = shape.volts;
            shape.volts = Box::new(move |t| sine(t) * (-rate * (t - start)).exp());
        }
        let noise = if dice.below(4) == 0 { 0.0 } else { dice.between_log(0.000_1, 0.1) };
        let volts: Vec<f64> = (0..len).map(|i| (shape.volts)(start + i as f64 / period)).collect();
        let view = View { shape: &shape, volts: &volts, period, start, noise };
        let (low, high) = view.levels();
        let amplitude = high - low;
        let mut with_noise: Vec<f64> =
            volts.iter().map(|v| v + noise * amplitude * dice.normal()).collect();
        // No more than one in 64 samples.
        for _ in 0..shape.spikes.min(len as u64 / 64) {
            let height = dice.between(0.5, 2.0) * dice.pick(&[1.0, -1.0]);
            let at = dice.below(len as u64) as usize;
            let beyond = if height > 0.0 { high } else { low };
            with_noise[at] = beyond + height * amplitude;
        }
        let (samples, scale, zero, bits) = converted(&with_noise, amplitude, &mut dice);
        let truth = view.truth(scale, zero);
        Self { class, number, samples, truth, noise, period, bits }
    }
}

/// What a converter makes of it, in whose range it has some place; counts a volt, counts at 0 V, and
/// the bits. The
/// amplitude is at least 50 counts.
fn converted(volts: &[f64], amplitude: f64, dice: &mut Dice) -> (Vec<u16>, f64, f64, u32) {
    let (least, most) = volts.iter().fold((f64::MAX, f64::MIN), |(a, b), &v| (a.min(v), b.max(v)));
    let mut bits = 8 + dice.below(9) as u32;
    let part = dice.between(0.4, 0.95);
    let scale = loop {
        let scale = f64::from((1_u32 << bits) - 1) * part / (most - least);
        if scale * amplitude >= 50.0 || bits == 16 {
            break scale;
        }
        bits += 1;
    };
    let codes = f64::from((1_u32 << bits) - 1);
    let zero = dice.unit() * codes * (1.0 - part) - least * scale;
    let sample = |v: &f64| (v * scale + zero).round().clamp(0.0, codes) as u16;
    (volts.iter().map(sample).collect(), scale, zero, bits)
}
