//! Two channels over each other, against the closed form |sin φ| = y(x = 0)/ymax (textbook).

use stillwave::measure::{Lissajous, Reason};
use stillwave_tests::dice::Dice;

fn wave(len: i32, cycles: f64, lag: f64, amplitude: f64, offset: f64) -> Vec<i16> {
    let step = std::f64::consts::TAU * cycles / f64::from(len);
    (0..len)
        .map(|i| {
            (amplitude * (f64::from(i) * step - lag.to_radians()).cos() + offset).round() as i16
        })
        .collect()
}

#[test]
fn phases_all_around() {
    // Less than a cycle, not whole ones, and many.
    for cycles in [0.8, 3.3, 37.0] {
        let x = wave(500, cycles, 17.0, 10_000.0, 300.0);
        for lag in -17..=18 {
            let lag = f64::from(lag) * 10.0;
            let y = wave(500, cycles, 17.0 + lag, 4000.0, -2000.0);
            let found = Lissajous::of(&x, &y).unwrap();
            let off = (found.phase - lag + 540.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < 0.1, "{cycles} cycles, {lag}: {found:?}");
            assert!((found.amplitudes.1 / 4000.0 - 1.0).abs() < 0.05, "{lag} {found:?}");
            assert!((found.sine() - lag.to_radians().sin().abs()).abs() < 2e-3);
            assert!(found.residual < 1e-3, "{found:?}");
            if lag.abs() % 180.0 > 1.0 {
                assert!((found.amplitudes.0 / 10_000.0 - 1.0).abs() < 1e-3, "{found:?}");
                assert!((found.centre.0 - 300.0).abs() < 10.0, "{found:?}");
                assert!((found.centre.1 + 2000.0).abs() < 10.0, "{found:?}");
            }
        }
    }
}

/// y(x = 0)/ymax read off the points themselves.
#[test]
fn the_sine_is_what_one_reads_off_the_picture() {
    for lag in [10.0, 30.0, 75.0, 110.0, 160.0] {
        let (x, y) = (wave(20_000, 3.0, 0.0, 20_000.0, 0.0), wave(20_000, 3.0, lag, 15_000.0, 0.0));
        let middle = x.windows(2).position(|pair| pair[0] >= 0 && pair[1] < 0).unwrap();
        let top = y.iter().copied().max().unwrap();
        let read = f64::from(y[middle].abs()) / f64::from(top);
        let found = Lissajous::of(&x, &y).unwrap().sine();
        assert!((found - read).abs() < 1e-3, "{lag}: {found}, read {read}");
    }
}

#[test]
fn noise_and_what_is_no_ellipse() {
    let mut dice = Dice::new(1);
    let mut noisy = |samples: Vec<i16>| -> Vec<i16> {
        samples.into_iter().map(|x| x + dice.below(401) as i16 - 200).collect()
    };
    let (x, y) =
        (noisy(wave(2000, 20.0, 0.0, 10_000.0, 0.0)), noisy(wave(2000, 20.0, 50.0, 10_000.0, 0.0)));
    let found = Lissajous::of(&x, &y).unwrap();
    assert!((found.phase - 50.0).abs() < 0.3 && found.residual < 0.03, "{found:?}");
    assert_eq!(Lissajous::of(&[5_u8; 50], &[1_u8; 50]), Err(Reason::OneLevel));
    assert_eq!(Lissajous::of(&[1_u8, 2, 3], &[1_u8, 2, 4]), Err(Reason::TooShort));
    assert_eq!(Lissajous::of::<u8, u8>(&[], &[]), Err(Reason::Empty));
    assert_eq!(Lissajous::of(&[f32::NAN; 9], &[1.0_f32; 9]), Err(Reason::NotFinite));
    // Twice the frequency draws a parabola or an eight.
    let eight =
        Lissajous::of(&wave(500, 5.0, 0.0, 9000.0, 0.0), &wave(500, 10.0, 40.0, 9000.0, 0.0));
    assert!(eight.is_err() || eight.unwrap().residual > 0.1, "{eight:?}");
}
