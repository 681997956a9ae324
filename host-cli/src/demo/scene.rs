//! Ten seconds of a control signal that never was: invented, computed, and the same every time.
//!
//! A sender gives pulses of 1.5 ms every 20 ms, as for a servo. A 12-bit converter with a
//! reference of 3.3 V takes 100 000 samples a second of them, with noise and hum. Among the 500
//! pulses one is a runt, too low to reach the middle of the range, and one is too narrow.

use std::f64::consts::{LN_2, TAU};
use std::path::Path;

use stillwave::Scale;

use crate::error::Error;
use crate::export::{Samples, npy_samples};

/// Samples a second.
pub const RATE: f64 = 100e3;
/// How many samples there are: ten seconds.
pub const LENGTH: usize = 1_000_000;
/// The converter's bits.
pub const BITS: u32 = 12;
/// The converter's reference, in volts.
pub const REFERENCE: f64 = 3.3;

/// Between pulses, in volts.
const LOW: f64 = 0.2;
/// The top of a good pulse, in volts.
const HIGH: f64 = 3.0;
/// The top of the runt, in volts.
const RUNT_HIGH: f64 = 1.4;
const WIDTH: f64 = 1.5e-3;
const NARROW_WIDTH: f64 = 0.6e-3;
const RUNT: usize = 311;
const NARROW: usize = 173;
const COUNT: usize = 500;
/// The sender's clock is slow by 20 in a million, so no two pulses meet the samples alike.
const PERIOD: f64 = 20e-3 * (1.0 + 20e-6);
const FIRST: f64 = 10e-3;
/// The time constant of both edges: 44 µs from 10 to 90 %.
const EDGE: f64 = 20e-6;
const NOISE: f64 = 20e-3;
const HUM: f64 = 8e-3;

/// The signal and the truth about it.
#[derive(Debug, Clone)]
pub struct Scene {
    /// What the converter delivers.
    pub samples: Vec<u16>,
    /// What was sent, in order.
    pub pulses: Vec<SentPulse>,
    /// The index of the runt among the pulses.
    pub runt: usize,
    /// The index of the too narrow one.
    pub narrow: usize,
}

/// A pulse as it was sent, before noise, hum and conversion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SentPulse {
    /// When it begins to rise, in samples from the start.
    pub rise: f64,
    /// When it begins to fall.
    pub fall: f64,
    /// Its top, in volts.
    pub top: f64,
}

impl SentPulse {
    /// When it rises through `volts`; `None` where it does not get there.
    pub fn rises_through(&self, volts: f64) -> Option<f64> {
        let part = (volts - LOW) / (self.top - LOW);
        (0.0..1.0).contains(&part).then(|| self.rise - EDGE * RATE * (1.0 - part).ln())
    }

    /// When it falls through `volts`; `None` where it was never there.
    pub fn falls_through(&self, volts: f64) -> Option<f64> {
        let part = (volts - LOW) / (self.top - LOW);
        (part > 0.0 && part < 1.0).then(|| self.fall - EDGE * RATE * part.ln())
    }

    /// Its width at half its height, in samples.
    pub fn width(&self) -> f64 {
        // The same delay on both edges.
        let delay = EDGE * RATE * LN_2;
        (self.fall + delay) - (self.rise + delay)
    }

    /// The voltage over the low one, `time` in samples.
    fn at(&self, time: f64) -> f64 {
        let tau = EDGE * RATE;
        let height = self.top - LOW;
        if time < self.rise {
            0.0
        } else if time < self.fall {
            height * (1.0 - (-(time - self.rise) / tau).exp())
        } else {
            let reached = height * (1.0 - (-(self.fall - self.rise) / tau).exp());
            reached * (-(time - self.fall) / tau).exp()
        }
    }
}

/// Computes the scene.
pub fn generate() -> Scene {
    let pulses: Vec<SentPulse> = (0..COUNT).map(sent).collect();
    let mut random = Random(0x5717_1CA7);
    let counts_per_volt = f64::from(1 << BITS) / REFERENCE;
    let highest = f64::from((1 << BITS) - 1);
    let samples = (0..LENGTH)
        .map(|index| {
            let time = index as f64;
            // The last pulse that has begun; those before it have died away.
            let latest = ((time / RATE - FIRST) / PERIOD).floor().max(0.0) as usize;
            let pulse = pulses.get(latest).map_or(0.0, |pulse| pulse.at(time));
            let hum = HUM * (TAU * 50.0 * time / RATE).sin();
            let volts = LOW + pulse + hum + NOISE * random.normal();
            (volts * counts_per_volt).round().clamp(0.0, highest) as u16
        })
        .collect();
    Scene { samples, pulses, runt: RUNT, narrow: NARROW }
}

/// Writes the scene's samples as NPY.
///
/// # Errors
///
/// Where the file is there already and not to be overwritten, or cannot be written.
pub fn write(path: &Path, overwrite: bool) -> Result<(), Error> {
    npy_samples(&Samples::U16(generate().samples), path, overwrite)
}

/// How its counts become volts.
pub fn scale() -> Scale {
    Scale { volts_per_count: REFERENCE / f64::from(1 << BITS), zero: 0.0 }
}

fn sent(index: usize) -> SentPulse {
    let rise = (FIRST + PERIOD * index as f64) * RATE;
    // The hand on the lever is never quite still.
    let sway = 1.0 + 0.01 * (TAU * index as f64 / 60.0).sin();
    let (width, top) = match index {
        RUNT => (WIDTH, RUNT_HIGH),
        NARROW => (NARROW_WIDTH, HIGH),
        _ => (WIDTH * sway, HIGH),
    };
    SentPulse { rise, fall: rise + width * RATE, top }
}

/// A small generator (splitmix64), of our own so that the scene never changes.
struct Random(u64);

impl Random {
    /// Evenly from 0 to 1.
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^= bits >> 31;
        (bits >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Near enough normal, mean 0 and variance 1: twelve even numbers, less their mean.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stillwave::{Comparison, Condition, Edge, Event, EventKind, Holdoff, Level, Polarity};
    use stillwave::{Pulse, Slope, Span, Trigger};

    fn events<C: Condition<Sample = u16>>(condition: C, samples: &[u16]) -> Vec<Event> {
        let mut trigger = Trigger::new(condition, Holdoff::Samples(0)).unwrap();
        let mut events = Vec::new();
        trigger.push(samples, |event| events.push(event));
        events
    }

    fn level(volts: f64, hysteresis: f64) -> Level<u16> {
        let scale = scale();
        let counts = scale.counts(volts).round() as i32;
        Level::new(counts, scale.count_difference(hysteresis).round() as i32).unwrap()
    }

    #[test]
    fn it_is_the_same_every_time() {
        let (one, other) = (generate(), generate());
        assert_eq!(one.samples, other.samples);
        assert_eq!(one.samples.len(), LENGTH);
        let sum: u64 = one.samples.iter().map(|sample| u64::from(*sample)).sum();
        assert_eq!(sum, 508_354_048);
    }

    #[test]
    fn no_sample_is_at_the_converter_ends() {
        assert!(generate().samples.iter().all(|sample| (1..4095).contains(sample)));
    }

    #[test]
    fn every_pulse_but_the_runt_passes_the_middle_where_it_was_sent() {
        let scene = generate();
        let rising = Edge::new(Slope::Rising, level(1.65, 0.5)).unwrap();
        let found = events(rising, &scene.samples);
        let sent: Vec<f64> =
            scene.pulses.iter().filter_map(|pulse| pulse.rises_through(1.65)).collect();
        assert_eq!((found.len(), sent.len()), (COUNT - 1, COUNT - 1));
        for (event, sent) in found.iter().zip(sent) {
            // Noise of 20 mV on an edge of 0.7 V a sample, and the bend between samples.
            assert!((event.at.samples() - sent).abs() < 0.3, "{event:?} {sent}");
        }
    }

    #[test]
    fn the_narrow_pulse_is_the_only_one() {
        let scene = generate();
        let narrow = Comparison::ShorterThan(Span::from_seconds(1e-3, RATE).unwrap());
        let pulse = Pulse::new(Polarity::Positive, level(1.65, 0.5), narrow).unwrap();
        let found = events(pulse, &scene.samples);
        let [Event { at, kind: EventKind::Pulse { width, .. } }] = &found[..] else {
            panic!("{found:?}")
        };
        let sent = scene.pulses[scene.narrow];
        assert!((width.to_seconds(RATE) - NARROW_WIDTH).abs() < 20e-6);
        assert!((at.samples() - sent.falls_through(1.15).unwrap()).abs() < 0.5);
    }

    #[test]
    fn the_runt_is_seen_at_a_lower_level_alone() {
        let scene = generate();
        let low = Edge::new(Slope::Rising, level(0.8, 0.3)).unwrap();
        assert_eq!(events(low, &scene.samples).len(), COUNT);
        let runt = scene.pulses[scene.runt];
        assert!(runt.rises_through(1.65).is_none() && runt.rises_through(0.8).is_some());
        let during = &scene.samples[runt.rise as usize..runt.fall as usize];
        let top = scale().volts(f64::from(*during.iter().max().unwrap()));
        assert!((1.35..1.55).contains(&top), "{top}");
    }

    #[test]
    fn it_reads_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("scene.npy");
        write(&path, false).unwrap();
        assert_eq!(path.metadata().unwrap().len(), 128 + 2 * LENGTH as u64);
        assert!(write(&path, false).is_err());
    }
}
