//! Measurements against closed forms: waveforms whose values are known on paper.
//!
//! Sources: textbook formulas, named beside each check.

use std::f64::consts::{PI, TAU};

use stillwave::Slope;
use stillwave::measure::{
    Config, Factors, Measurements, Meter, StateLevels, Statistics, area, measure,
};
use stillwave_tests::dice::Dice;

/// `len` samples of a voltage of −1 to 1 over time in samples, by a converter of 16 bits.
fn sampled(len: usize, volts: impl Fn(f64) -> f64) -> Vec<i16> {
    (0..len).map(|i| (30_000.0 * volts(i as f64)).round() as i16).collect()
}

fn counts(len: usize, volts: impl Fn(f64) -> f64) -> Measurements {
    measure(&sampled(len, volts))
}

#[track_caller]
fn assert_near(what: &str, value: f64, expected: f64, relative: f64) {
    let error = (value / expected - 1.0).abs();
    assert!(error <= relative, "{what}: {value}, expected {expected}: off by {error:e}");
}

/// Linear interpolation alone may be off by 0.016038(ωT)²·T at either end of the ten cycles: 16
/// parts in a million.
#[test]
fn frequency_of_a_sine_at_20_samples_a_cycle_is_within_10_parts_in_a_million() {
    let mut worst = 0.0_f64;
    for step in 0..200 {
        let period = 19.5 + f64::from(step) / 200.0 + 0.0013;
        for phase in 0..8 {
            let phase = TAU * f64::from(phase) / 8.0;
            let sine = |t: f64| (TAU * t / period + phase).sin();
            let samples: Vec<f32> = (0..215).map(|i| sine(f64::from(i)) as f32).collect();
            let (float, integer) = (measure(&samples), counts(215, sine));
            for found in [float, integer] {
                let frequency = found.timing.frequency.unwrap();
                worst = worst.max((frequency * period - 1.0).abs());
            }
        }
    }
    println!("worst {worst:e}");
    assert!(worst < 10e-6, "{worst:e}");
}

/// RMS by quantisation: an error of a fraction of LSB/√12 (uniform rounding error).
#[test]
fn rms_of_a_sine_is_within_a_least_bit_over_root_12() {
    for (amplitude, cycles) in [(100.3, 7.0), (1999.7, 10.0), (30_000.0, 13.0)] {
        let samples: Vec<i16> = (0..1000)
            .map(|i| (amplitude * (TAU * cycles * f64::from(i) / 1000.0).sin()).round() as i16)
            .collect();
        let found = measure(&samples);
        let error = found.rms.unwrap() - amplitude / 2.0_f64.sqrt();
        println!("rms error {error:e} of {amplitude}");
        assert!(error.abs() < 1.0 / 12.0_f64.sqrt());
    }
}

/// Transition time 10 to 90 % of 1 − e^(−t/RC) is RC·ln 9.
#[test]
fn rise_and_fall_of_an_rc_low_pass_are_rc_ln_9() {
    let ln9 = 9.0_f64.ln();
    let rc = 10.0 / ln9;
    // Half cycles of 100.3 samples meet the samples at many phases.
    let half = 100.3;
    let rc_square = |t: f64| {
        let (count, rest) = ((t / half).floor(), t % half);
        let rise = 1.0 - 2.0 * (-rest / rc).exp();
        if count % 2.0 == 0.0 { rise } else { -rise }
    };
    let timing = counts(8000, rc_square).timing;
    println!("rise {} fall {}", timing.rise_time.unwrap(), timing.fall_time.unwrap());
    assert_near("rise", timing.rise_time.unwrap(), rc * ln9, 0.005);
    assert_near("fall", timing.fall_time.unwrap(), rc * ln9, 0.005);
    assert_near("period", timing.period.unwrap(), 2.0 * half, 1e-4);
}

/// Each single step, at every place between two samples.
#[test]
fn one_rc_step_at_any_phase() {
    let ln9 = 9.0_f64.ln();
    let rc = 10.0 / ln9;
    let errors = (0..100).map(|phase| {
        let start = 100.0 + f64::from(phase) / 100.0;
        let step = |t: f64| if t < start { -1.0 } else { 1.0 - 2.0 * (-(t - start) / rc).exp() };
        counts(500, step).timing.rise_time.unwrap() / (rc * ln9) - 1.0
    });
    let errors: Vec<f64> = errors.collect();
    let worst = errors.iter().fold(0.0_f64, |worst, error| worst.max(error.abs()));
    let mean = errors.iter().sum::<f64>() / 100.0;
    println!("worst {worst:e}, mean {mean:e}, at a sample {:e}", errors[0]);
    assert!(worst < 0.005 && mean.abs() < 0.002);
}

/// Five samples from 10 to 90 %.
#[test]
fn a_fast_rc_step_at_any_phase() {
    let rc = 5.0 / 9.0_f64.ln();
    for phase in 0..200 {
        let start = 150.0 + f64::from(phase) / 200.0;
        let step = |t: f64| if t < start { -1.0 } else { 1.0 - 2.0 * (-(t - start) / rc).exp() };
        assert_near("rise", counts(300, step).timing.rise_time.unwrap(), 5.0, 0.02);
        let mirrored: Vec<i16> = sampled(300, step).into_iter().rev().collect();
        assert_near("mirrored", measure(&mirrored).timing.fall_time.unwrap(), 5.0, 0.02);
    }
}

/// From 10 to 90 % of a sine: 2·asin(0.8)/2π of its period.
#[test]
fn amplitude_and_rise_of_a_sine_of_50_samples_a_cycle() {
    for phase in 0..100 {
        let found = counts(500, |t| (TAU * (t / 50.0 + f64::from(phase) / 100.0)).sin());
        assert_near("amplitude", found.amplitude.unwrap(), 60_000.0, 0.003);
        let rise = 50.0 * 2.0 * 0.8_f64.asin() / TAU;
        assert_near("rise", found.timing.rise_time.unwrap(), rise, 0.003);
    }
}

/// Crest factor = peak/RMS; form factor = RMS/mean of the rectified: sine √2 and π/(2√2), square 1
/// and 1, triangle √3 and 2/√3, pulses from zero 1/√D both.
#[test]
fn crest_and_form_factors_of_the_textbook_waveforms() {
    let factors = |volts: &dyn Fn(f64) -> f64| Factors::of(&sampled(10_000, volts), 0.0).unwrap();
    let check = |name: &str, found: Factors, crest: f64, form: f64| {
        println!("{name} {:.5} {:.5}", found.crest, found.form);
        assert_near(name, found.crest, crest, 1e-4);
        assert_near(name, found.form, form, 1e-4);
    };
    let sine = |t: f64| (TAU * t / 1000.0).sin();
    check("sine", factors(&sine), 2.0_f64.sqrt(), PI / 8.0_f64.sqrt());
    let square = |t: f64| if t % 1000.0 < 500.0 { 1.0 } else { -1.0 };
    check("square", factors(&square), 1.0, 1.0);
    let triangle = |t: f64| 2.0 / PI * (TAU * t / 1000.0).sin().asin();
    check("triangle", factors(&triangle), 3.0_f64.sqrt(), 2.0 / 3.0_f64.sqrt());
    for duty in [0.1, 0.3, 0.9] {
        let pulse = |t: f64| if t % 1000.0 < 1000.0 * duty { 1.0 } else { 0.0 };
        check("pulse", factors(&pulse), 1.0 / f64::sqrt(duty), 1.0 / f64::sqrt(duty));
    }
}

/// Area under half a sine of amplitude A: A·T/π.
#[test]
fn area_of_half_a_sine() {
    let half = sampled(501, |t| (TAU * t / 1000.0).sin());
    assert_near("area", area(&half, 0.0).unwrap(), 30_000.0 * 1000.0 / PI, 1e-5);
}

/// Step response of a second-order low pass of damping ζ: overshoot e^(−πζ/√(1−ζ²)), 52.662,
/// 16.303 and 4.599 % for ζ = 0.2, 0.5 and 0.7; the trough after it, that squared.
#[test]
fn overshoot_of_a_second_order_step() {
    for (zeta, percent) in [(0.2_f64, 52.662), (0.5, 16.303), (0.7, 4.599)] {
        let root = (1.0 - zeta * zeta).sqrt();
        // A natural frequency of 1/20 radian a sample: the rise takes some 30 samples.
        let response = |t: f64| {
            let t = t / 20.0;
            1.0 - (-zeta * t).exp() * ((root * t).cos() + zeta / root * (root * t).sin())
        };
        let step = |t: f64| if t < 700.4 { -0.5 } else { response(t - 700.4) * 0.9 - 0.5 };
        let found = Meter::default().edge_shape(&sampled(4000, step), Slope::Rising);
        let (over, under) = (found.overshoot.unwrap(), found.undershoot.unwrap());
        println!("ζ {zeta}: {:.3} % {:.3} %", 100.0 * over, 100.0 * under);
        assert!((100.0 * over - percent).abs() < 0.1, "ζ {zeta}: {over}");
        assert!((under - (percent / 100.0) * (percent / 100.0)).abs() < 1e-3);
        assert!(found.preshoot.unwrap() < 1e-3);
    }
}

/// 1 − e^(−t/RC) is within 2 % of its end after RC·ln 50, and at the middle after RC·ln 2; its slope
/// between 10 and 90 % is 0.8·A/(RC·ln 9).
#[test]
fn settling_and_slew_of_an_rc_step() {
    let rc = 40.0;
    let step = |t: f64| if t < 300.3 { -0.8 } else { 0.8 - 1.6 * (-(t - 300.3) / rc).exp() };
    let found = Meter::default().edge_shape(&sampled(2000, step), Slope::Rising);
    assert_near("settling", found.settling.unwrap(), rc * (50.0_f64.ln() - 2.0_f64.ln()), 2e-3);
    let slew = 0.8 * 1.6 * 30_000.0 / (rc * 9.0_f64.ln());
    assert_near("slew", found.slew_rate.unwrap(), slew, 2e-3);
    let mirrored: Vec<i16> = sampled(2000, step).iter().map(|x| -x).collect();
    let falling = Meter::default().edge_shape(&mirrored, Slope::Falling);
    assert_near("falling", falling.slew_rate.unwrap(), -slew, 2e-3);
    assert_near("falling", falling.settling.unwrap(), found.settling.unwrap(), 2e-3);
}

/// Over whole cycles the mean of a sine is its offset and the RMS about it A/√2, wherever the
/// record ends.
#[test]
fn whole_cycles_of_a_sine() {
    for len in [1000, 1017, 1033, 1049] {
        let sine = |t: f64| 0.25 + 0.7 * (TAU * t / 97.3 + 1.0).sin();
        let samples = sampled(len, sine);
        let found = Meter::default().over_cycles(&samples).unwrap();
        let all = Statistics::of(&samples).unwrap();
        println!("{len}: {} instead of {}", found.mean, all.mean);
        assert_near("mean", found.mean, 7500.0, 1e-3);
        assert_near("ac", found.ac_rms, 21_000.0 / 2.0_f64.sqrt(), 1e-3);
    }
}

/// A delay of d samples is a phase of 360°·d/T.
#[test]
fn delay_and_phase_of_two_sines() {
    let sine = |delay: f64| sampled(1000, |t| (TAU * (t - delay) / 80.7 + 0.3).sin());
    for delay in [-40.0, -20.3, -0.1, 0.0, 0.1, 7.77, 20.0, 40.0] {
        let found = Meter::default().delay(&sine(0.0), Slope::Rising, &sine(delay), Slope::Rising);
        assert!((found.delay.unwrap() - delay).abs() < 1e-3, "{delay}: {found:?}");
        assert!((found.phase.unwrap() - 360.0 * delay / 80.7).abs() < 5e-3);
    }
    let found = Meter::default().delay(&sine(0.0), Slope::Rising, &sine(0.0), Slope::Falling);
    assert!((found.phase.unwrap().abs() - 180.0).abs() < 0.2, "{found:?}");
}

/// Pulse-width modulation between L and H with duty D: mean L + D(H − L), RMS
/// √(DH² + (1 − D)L²), AC RMS (H − L)√(D(1 − D)).
#[test]
fn mean_and_rms_of_pulse_width_modulation() {
    let (low, high) = (200.0, 3700.0);
    for on in [1, 5, 25, 50, 75, 99] {
        let samples: Vec<u16> =
            (0..1000).map(|i| if i % 100 < on { high as u16 } else { low as u16 }).collect();
        let found = measure(&samples);
        let duty = f64::from(on) / 100.0;
        assert_near("mean", found.mean.unwrap(), low + duty * (high - low), 1e-12);
        let rms = (duty * high * high + (1.0 - duty) * low * low).sqrt();
        assert_near("rms", found.rms.unwrap(), rms, 1e-12);
        let ac = (high - low) * (duty * (1.0 - duty)).sqrt();
        assert_near("ac", found.ac_rms.unwrap(), ac, 1e-12);
        assert_near("duty", found.timing.duty.unwrap(), duty, 1e-9);
    }
}

/// Noise of σ moves a crossing by σ/slew at most, since neighbours' noise averages out in part: by
/// √(2/3) of it, over all places between two samples, for a straight line (by Monte Carlo).
#[test]
fn jitter_of_a_sine_in_noise() {
    let (period, amplitude) = (100.37, 8000.0);
    let meter = Meter::new(Config {
        levels: Some(StateLevels { low: -amplitude, high: amplitude }),
        ..Config::default()
    });
    let meter = meter.unwrap();
    let slew = TAU * amplitude / period;
    for sigma in [5.0, 40.0, 120.0] {
        let mut dice = Dice::new(9);
        let mut noise = || {
            let sum: f64 = (0..12).map(|_| dice.bits() as f64 / u64::MAX as f64).sum();
            sigma * (sum - 6.0)
        };
        let samples: Vec<i16> = (0..400_000)
            .map(|i| (amplitude * (TAU * f64::from(i) / period).sin() + noise()).round() as i16)
            .collect();
        let off = meter.transitions(&samples).unwrap().map(|transition| {
            let at = transition.mid.samples() / (period / 2.0);
            (at - at.round()) * period / 2.0
        });
        let off: Vec<f64> = off.collect();
        let rms = (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt();
        let part = rms / (sigma / slew);
        println!("sigma {sigma}: {part} of sigma/slew, {} crossings", off.len());
        assert!(off.len() > 7900 && (0.7..1.0).contains(&part), "sigma {sigma}: {part}");
    }
}
