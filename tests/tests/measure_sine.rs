//! The sine fit against numbers from elsewhere, and converters against theory.

use std::f64::consts::TAU;

use stillwave::measure::{Reason, SineFit};

/// Noise of mean 0, uniform within ±1/2: from a generator of its own, so that it is always the
/// same.
fn dither() -> impl FnMut() -> f64 {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
    }
}

/// Numbers computed with numpy.linalg.lstsq (`numpy` 2.3.3): amplitude 1500.002, residual 0.28999, ENOB 11.993.
#[test]
fn a_quantised_sine_fits_as_elsewhere() {
    let samples: Vec<u16> = (0..4096)
        .map(|n| (1500.0 * (TAU * 0.0371 * f64::from(n) + 0.4).cos() + 2048.25).round() as u16)
        .collect();
    let three = SineFit::three_parameters(&samples, 0.0371).unwrap();
    let four = SineFit::of(&samples).unwrap();
    for fit in [three, four] {
        println!("{fit:?} {:?} {:?}", fit.enob(4096.0), fit.sinad());
        assert!((fit.amplitude - 1500.002).abs() < 0.001);
        assert!((fit.residual_rms - 0.28999).abs() < 0.0001);
        assert!((fit.enob(4096.0).unwrap() - 11.993).abs() < 0.001);
        assert!((fit.offset - 2048.25).abs() < 0.01);
    }
}

/// Ideal converter with a sine of full scale: SNR 6.02·bits + 1.76 dB. The theory's error is uniform
/// between −1/2 and 1/2; so it is here over sixteen places of the sine between two codes.
#[test]
fn ideal_converters_have_their_bits() {
    for (bits, decibels) in [(8, 49.93), (10, 61.97), (12, 74.01), (14, 86.05), (16, 98.09)] {
        let full = f64::from(1_u32 << bits);
        let fits = (0..16).map(|place| {
            let offset = f64::from(place) / 16.0;
            let sine = |n: i32| full / 2.0 * (TAU * 0.038_196_601 * f64::from(n) + 1.0).sin();
            let samples: Vec<i32> =
                (0..20_000).map(|n| (sine(n) + offset).round() as i32).collect();
            SineFit::of(&samples).unwrap()
        });
        let fits: Vec<SineFit> = fits.collect();
        let square = fits.iter().map(|fit| fit.residual_rms.powi(2)).sum::<f64>() / 16.0;
        let fit = SineFit { residual_rms: square.sqrt(), ..fits[0] };
        println!(
            "{bits} bits: {:.3} dB, {:.3} bits",
            fit.sinad().unwrap(),
            fit.enob(full).unwrap()
        );
        assert!((fit.sinad().unwrap() - decibels).abs() < 0.02);
        assert!((fit.enob(full).unwrap() - f64::from(bits)).abs() < 0.003);
    }
}

#[test]
fn a_first_frequency_half_a_cycle_off_will_do() {
    let samples: Vec<f32> =
        (0..500).map(|n| (TAU * 0.0313 * f64::from(n) + 2.0).cos() as f32).collect();
    for cycles in [-0.5, -0.3, 0.0, 0.2, 0.5] {
        let fit = SineFit::four_parameters(&samples, 0.0313 + cycles / 500.0).unwrap();
        assert!((fit.frequency - 0.0313).abs() < 1e-10, "{fit:?}");
        assert!((fit.phase - 2.0).abs() < 1e-6 && (fit.amplitude - 1.0).abs() < 1e-7);
        assert!(fit.residual_rms < 1e-7);
    }
}

#[test]
fn noise_shows_in_the_residual_alone() {
    let mut noise = dither();
    let samples: Vec<f32> = (0..10_000)
        .map(|n| (5.0 + 2.0 * (TAU * 0.0217 * f64::from(n)).cos() + noise()) as f32)
        .collect();
    let fit = SineFit::four_parameters(&samples, 0.0217).unwrap();
    // Uniform noise of width 1: RMS 1/√12. The amplitude's deviation: √(2/N) of that.
    assert!((fit.residual_rms - 12.0_f64.sqrt().recip()).abs() < 0.003);
    assert!((fit.amplitude - 2.0).abs() < 5.0 * 0.0041 && (fit.offset - 5.0).abs() < 0.015);
}

#[test]
fn what_is_no_sine_has_a_reason() {
    let fit = |samples: &[f32], f| SineFit::four_parameters(samples, f).unwrap_err();
    assert_eq!(fit(&[], 0.1), Reason::Empty);
    assert_eq!(fit(&[1.0, 2.0, 1.0, 0.0], 0.25), Reason::TooShort);
    assert_eq!(fit(&[1.0, f32::NAN, 1.0, 0.0, 1.0], 0.25), Reason::NotFinite);
    assert_eq!(fit(&[1.0; 100], 0.25), Reason::NotConverged);
    for f in [0.0, 0.5, -0.1, 3.0, f64::NAN, f64::INFINITY] {
        assert_eq!(fit(&[1.0, 2.0, 1.0, 0.0, 1.0, 2.0], f), Reason::NotConverged);
    }
}
