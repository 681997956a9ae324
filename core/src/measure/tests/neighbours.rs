//! Cases beside those of the signal family: long records, clipped ones, spikes at the very start.

use std::f64::consts::TAU;
use std::vec::Vec;

use crate::measure::{Config, Meter, Reason, StateLevels, measure};

/// Noise of about a normal distribution, of one deviation.
fn noise(state: &mut u64) -> f64 {
    let mut uniform = || {
        *state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (*state >> 40) as f64 / f64::from(1 << 24)
    };
    (0..12).map(|_| uniform()).sum::<f64>() - 6.0
}

fn noisy_sine(len: usize) -> Vec<u16> {
    let mut state = 1;
    let sine = |i: usize| 30_000.0 + 10_000.0 * (TAU * i as f64 / 100.3).sin();
    (0..len).map(|i| (sine(i) + 200.0 * noise(&mut state)).round() as u16).collect()
}

#[test]
fn a_long_record_is_measured_as_a_short_one() {
    for len in [65_000, 66_000, 1_000_000] {
        let samples = noisy_sine(len);
        let found = measure(&samples);
        assert!(!found.doubts.too_few_samples, "{len}");
        assert!((found.amplitude.unwrap() - 20_000.0).abs() < 400.0, "{len}: {found:?}");
        assert!((found.timing.period.unwrap() - 100.3).abs() < 0.05, "{len}: {found:?}");
        let sigma = Meter::default().uncertainty(&samples, &found);
        assert!(sigma.timing.period.unwrap() < 0.01 && sigma.minimum.unwrap() > 100.0, "{len}");
    }
}

#[test]
fn a_pulse_of_a_long_record_is_no_spike() {
    let square = |i: usize| if i % 1000 < 500 { 1000 } else { 0 };
    let pulse = |i: usize| (500_100..500_190).contains(&i);
    let samples: Vec<u16> =
        (0..1_000_000).map(|i| if pulse(i) { 4000 } else { square(i) }).collect();
    assert_eq!(measure(&samples).doubts.left_out, 0);
}

#[test]
fn a_record_that_begins_with_a_spike_has_no_transition_there() {
    let square = (0..400).map(|i| if i % 20 < 10 { 1000 } else { 2000 });
    let samples: Vec<u16> = [4000, 2000, 2000, 2000].into_iter().chain(square).collect();
    let found = measure(&samples);
    assert_eq!((found.doubts.left_out, found.timing.period), (1, Ok(20.0)));
}

#[test]
fn a_sample_on_an_edge_of_a_short_record_is_no_level() {
    let cycle = [0_u16, 0, 0, 0, 0, 1200, 1000, 1000, 1000, 1000];
    let samples = [cycle, cycle].concat();
    let StateLevels { low, high } = StateLevels::of(&samples).unwrap();
    assert_eq!((low, high), (0.0, 1000.0));
}

#[test]
fn noise_counts_where_clipping_withholds_edges() {
    let config = Config { end_codes: Some((0.0, 255.0)), ..Config::default() };
    let meter = Meter::new(config).unwrap();
    let mut state = 5;
    let sine = |i: i32| 128.0 + 140.0 * (TAU * f64::from(i) / 100.0).sin();
    let samples: Vec<u8> = (0..1000)
        .map(|i| (sine(i) + 4.0 * noise(&mut state)).round().clamp(0.0, 255.0) as u8)
        .collect();
    let found = meter.measure(&samples);
    assert_eq!(found.timing.rise_time, Err(Reason::Clipped));
    let sigma = meter.uncertainty(&samples, &found).timing.period.unwrap();
    assert!((0.005..0.5).contains(&sigma), "{sigma}");
}

#[test]
fn the_uncertainty_of_a_small_rms_is_not_larger_than_rounding() {
    let mut samples = [100_u8; 1000];
    samples[500] = 101;
    let found = measure(&samples);
    let sigma = Meter::default().uncertainty(&samples, &found);
    assert!(sigma.ac_rms.unwrap() < 0.5 && sigma.rms.unwrap() < 0.5);
}
