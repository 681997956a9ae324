//! Spectra against closed forms.
//!
//! Sources: IEEE Std 1241 and textbook formulas (from memory), named beside each check.

use std::f64::consts::TAU;

use proptest::prelude::*;
use stillwave::measure::{Reason, Spectrum, Statistics, Window};
use stillwave_tests::dice::Dice;

const WINDOWS: [Window; 4] =
    [Window::Rectangular, Window::Hann, Window::BlackmanHarris, Window::FlatTop];

/// A converter of some bits, full scale, at a whole and odd number of cycles: IEEE Std 1241's
/// coherent sampling.
fn converted(bits: u32, phase: f64) -> Vec<i32> {
    let half = f64::from(1_u32 << (bits - 1));
    (0..4096)
        .map(|i| {
            let sine = (TAU * 509.0 * f64::from(i) / 4096.0 + phase).sin();
            ((half - 0.5) * sine - 0.5).round() as i32
        })
        .collect()
}

/// The SNR of an ideal converter at full scale is 6.02 · bits + 1.76 dB.
#[test]
fn ideal_converters_of_8_to_16_bits() {
    for (bits, expected) in [(8, 49.93), (10, 61.97), (12, 74.01), (14, 86.05), (16, 98.09)] {
        // One phase's rounding is not quite noise: over some, it is.
        let mut buffer = [0.0; 4096];
        let (mut noise, mut sinads) = (0.0, 0.0);
        for phase in 0..8 {
            let samples = converted(bits, 0.1 + 0.77 * f64::from(phase));
            let spectrum = Spectrum::of(&samples, Window::BlackmanHarris, &mut buffer).unwrap();
            let found = spectrum.distortion().unwrap();
            noise += 10.0_f64.powf(-found.snr.unwrap() / 10.0) / 8.0;
            sinads += found.sinad.unwrap() / 8.0;
            assert!((found.frequency - 509.0 / 4096.0).abs() < 1e-6);
            assert!((found.enob().unwrap() - f64::from(bits)).abs() < 0.12);
        }
        let snr = -10.0 * noise.log10();
        println!("{bits} bits: SNR {snr:.2} dB, SINAD {sinads:.2} dB, expected {expected} dB");
        assert!((snr - expected).abs() < 0.3, "{bits} bits: {snr}");
        assert!((sinads - expected).abs() < 0.5, "{bits} bits: {sinads}");
    }
}

/// THD of a known mix: √Σaₖ²/a₁, wherever its harmonics fold to, and whether or not whole cycles
/// fit in.
#[test]
fn distortion_of_a_known_mix() {
    let mixes: [&[f64]; 4] =
        [&[1.0, 0.1], &[1.0, 0.03, 0.02, 0.0, 0.01], &[0.5, 0.0, 0.0005], &[1.0, 0.5, 0.3]];
    for amplitudes in mixes {
        let expected = amplitudes[1..].iter().map(|a| a * a).sum::<f64>().sqrt() / amplitudes[0];
        for cycles in [61.0, 61.37, 200.5, 777.1, 1301.9] {
            let samples: Vec<f32> = (0..4096)
                .map(|i| {
                    let turns = f64::from(i) * cycles / 4096.0;
                    let wave = (1..)
                        .zip(amplitudes)
                        .map(|(k, a)| a * (TAU * f64::from(k) * turns + 0.3 * f64::from(k)).cos());
                    wave.sum::<f64>() as f32
                })
                .collect();
            for window in [Window::BlackmanHarris, Window::FlatTop, Window::Hann] {
                // Hann's side lobes are 40 dB together: less is lost among them.
                if window == Window::Hann && expected < 0.05 {
                    continue;
                }
                let mut buffer = [0.0; 4096];
                let spectrum = Spectrum::of(&samples, window, &mut buffer).unwrap();
                let found = spectrum.distortion().unwrap();
                let near = if window == Window::Hann { 0.02 } else { 0.005 };
                let thd = found.thd.unwrap();
                assert!(
                    (thd / expected - 1.0).abs() < near,
                    "{window:?} {cycles}: {thd} instead of {expected}"
                );
                assert!((found.frequency * 4096.0 - cycles).abs() < 0.01, "{window:?}");
                let rms = amplitudes[0] / 2.0_f64.sqrt();
                assert!((found.level / rms - 1.0).abs() < 1e-3, "{window:?}");
            }
        }
    }
}

/// SNR of a tone in white noise is their powers' ratio.
#[test]
fn a_tone_in_white_noise() {
    let mut dice = Dice::new(5);
    for (sigma, expected) in [(0.1, 16.99), (0.01, 36.99), (1e-3, 56.99)] {
        let mut noise = || {
            let sum: f64 = (0..12).map(|_| dice.bits() as f64 / u64::MAX as f64).sum();
            sigma * (sum - 6.0)
        };
        let samples: Vec<f32> =
            (0..4096).map(|i| ((f64::from(i) * 0.7003).sin() + noise()) as f32).collect();
        for window in [Window::Hann, Window::BlackmanHarris, Window::FlatTop] {
            if window == Window::Hann && expected > 30.0 {
                continue;
            }
            let mut buffer = [0.0; 4096];
            let spectrum = Spectrum::of(&samples, window, &mut buffer).unwrap();
            let snr = spectrum.distortion().unwrap().snr.unwrap();
            assert!((snr - expected).abs() < 0.4, "{window:?}: {snr}, expected {expected}");
        }
    }
}

/// A tone that does not fit in has side lobes, which are not noise: an ideal converter has its
/// 6.02 · bits + 1.76 dB wherever its tone lies.
#[test]
fn side_lobes_are_not_noise() {
    for (window, bits, near) in
        [(Window::Hann, 10, 0.6), (Window::BlackmanHarris, 14, 0.2), (Window::FlatTop, 12, 1.0)]
    {
        let expected = 6.02 * f64::from(bits) + 1.76;
        let half = f64::from(1_u32 << (bits - 1)) - 0.5;
        for cycles in [150.0, 508.3, 509.5, 1003.77] {
            let samples: Vec<i32> = (0..4096)
                .map(|i| (half * (TAU * cycles * f64::from(i) / 4096.0).sin() - 0.5).round() as i32)
                .collect();
            let mut buffer = [0.0; 4096];
            let spectrum = Spectrum::of(&samples, window, &mut buffer).unwrap();
            let snr = spectrum.distortion().unwrap().snr.unwrap();
            println!(
                "{window:?} {bits} bits, {cycles} cycles: {snr:.2} dB, expected {expected:.2}"
            );
            assert!((snr - expected).abs() < near);
        }
    }
}

/// A sine has no power at 0, whether or not whole cycles of it fit in.
#[test]
fn a_broken_cycle_is_no_mean() {
    for (window, under) in
        [(Window::Hann, -80.0), (Window::BlackmanHarris, -91.0), (Window::FlatTop, -91.0)]
    {
        for phase in 0..8 {
            let turns = |i: i32| 100.37 * f64::from(i) / 1024.0 + f64::from(phase) / 8.0;
            let samples: Vec<f32> = (0..1024).map(|i| (TAU * turns(i)).sin() as f32).collect();
            let mut buffer = [0.0; 1024];
            let spectrum = Spectrum::of(&samples, window, &mut buffer).unwrap();
            assert_eq!(spectrum.power(0), 0.0);
            for bin in 0..=8 {
                let level = 20.0 * (spectrum.level(bin) * 2.0_f64.sqrt()).log10();
                assert!(level < under, "{window:?} {phase} {bin}: {level} dB");
            }
        }
    }
}

/// What a flat top is for: the level of a tone anywhere between two bins. The others lose what is
/// said of them.
#[test]
fn levels_between_bins() {
    for (window, loss) in [
        (Window::Rectangular, 3.93),
        (Window::Hann, 1.43),
        (Window::BlackmanHarris, 0.83),
        (Window::FlatTop, 0.02),
    ] {
        let mut worst = 0.0_f64;
        for step in 0..=10 {
            let cycles = 100.0 + f64::from(step) / 20.0;
            let samples: Vec<f32> =
                (0..1024).map(|i| (TAU * f64::from(i) * cycles / 1024.0).sin() as f32).collect();
            let mut buffer = [0.0; 1024];
            let spectrum = Spectrum::of(&samples, window, &mut buffer).unwrap();
            let level = (95..106).map(|bin| spectrum.level(bin)).fold(0.0, f64::max);
            worst = worst.min(20.0 * (level * 2.0_f64.sqrt()).log10());
        }
        assert!((-worst - loss).abs() < 0.03, "{window:?}: {worst} dB");
    }
}

#[test]
fn gain_and_bandwidth_are_those_of_the_weights() {
    for window in WINDOWS {
        let weights: Vec<f64> = (0..1000).map(|i| window.weight(i, 1000)).collect();
        let sum: f64 = weights.iter().sum();
        let squares: f64 = weights.iter().map(|w| w * w).sum();
        assert!((window.coherent_gain() - sum / 1000.0).abs() < 1e-12);
        assert!((window.square_sum(1000) - squares).abs() < 1e-9);
        assert!((window.noise_bandwidth() - 1000.0 * squares / sum / sum).abs() < 1e-9);
    }
}

#[test]
fn what_has_no_tone_has_a_reason() {
    let mut buffer = [0.0; 256];
    let mut of = |samples: &[f32]| {
        Spectrum::of(samples, Window::BlackmanHarris, &mut buffer)
            .and_then(|spectrum| spectrum.distortion())
            .map(|found| found.frequency)
    };
    assert_eq!(of(&[1.5; 256]), Err(Reason::NoReference));
    assert_eq!(of(&[1.5; 200]), Err(Reason::TooShort));
    assert_eq!(of(&[f32::NAN; 256]), Err(Reason::NotFinite));
    assert_eq!(of(&[]), Err(Reason::TooShort));
    let slow: Vec<f32> = (0..256).map(|i| (i as f32 / 80.0).sin()).collect();
    assert_eq!(of(&slow), Err(Reason::NotEnoughCycles));
    for seed in 0..50 {
        let mut dice = Dice::new(seed);
        let noise: Vec<f32> = (0..256).map(|_| dice.below(1000) as f32).collect();
        assert!(matches!(of(&noise), Err(Reason::NoTone | Reason::NotEnoughCycles)), "{seed}");
    }
    let mut odd = [0.0; 100];
    let samples = [0_u8; 4096];
    assert!(Spectrum::of(&samples, Window::Hann, &mut odd).is_err());
    let mut long = vec![0.0; 8192];
    assert!(Spectrum::of(&[0_u8; 8192], Window::Hann, &mut long).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The bins' powers together are the mean square about the mean, of the weighed samples
    /// (Parseval); unweighed, that of the samples.
    #[test]
    fn power_is_kept(samples in prop::collection::vec(any::<i16>(), 512)) {
        let mut buffer = [0.0; 512];
        let spectrum = Spectrum::of(&samples, Window::Rectangular, &mut buffer).unwrap();
        let power: f64 = (0..spectrum.bins()).map(|bin| spectrum.power(bin)).sum();
        let expected = Statistics::of(&samples).unwrap().ac_rms.powi(2);
        prop_assert!((power / expected - 1.0).abs() < 1e-5);
    }

    /// No input makes anything but numbers and reasons.
    #[test]
    fn any_samples_have_a_spectrum(
        samples in prop::collection::vec(any::<f32>(), 64..130),
        which in 0..4_usize,
    ) {
        let mut buffer = [0.0; 64];
        if let Ok(spectrum) = Spectrum::of(&samples, WINDOWS[which], &mut buffer)
            && let Ok(found) = spectrum.distortion()
        {
            prop_assert!(found.thd.is_ok_and(f64::is_finite) | found.thd.is_err() && found.level.is_finite());
        }
    }
}
