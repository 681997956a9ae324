//! Measurements against `NumPy` and `SciPy` (`data/measured.py`, whose head names their versions).

use serde::Deserialize;
use stillwave::measure::{LevelMethod, SineFit, Spectrum, StateLevels, Window};

#[derive(Deserialize)]
struct Vectors {
    spectra: Vec<SpectrumVector>,
    levels: Vec<LevelVector>,
    sines: Vec<SineVector>,
    peaks: Vec<PeakVector>,
}

#[derive(Deserialize)]
struct SpectrumVector {
    window: Window,
    samples: Vec<i16>,
    power: Vec<f64>,
}

#[derive(Deserialize)]
struct LevelVector {
    samples: Vec<i32>,
    low: f64,
    high: f64,
    /// The shorth of either half, to two of the engine's bins: from the least to the greatest.
    shorth: [(f64, f64); 2],
}

#[derive(Deserialize)]
struct SineVector {
    samples: Vec<i16>,
    three: SineFit,
    four: SineFit,
}

#[derive(Deserialize)]
struct PeakVector {
    samples: Vec<i16>,
    peaks: Vec<usize>,
    strongest: usize,
}

fn vectors() -> Vectors {
    serde_json::from_str(include_str!("../data/measured.json")).unwrap()
}

/// `numpy.fft.rfft` with the windows of `scipy.signal.get_window`; here in `f32`.
#[test]
fn spectra_are_those_of_rfft() {
    let vectors = vectors().spectra;
    assert_eq!(vectors.len(), 8);
    for vector in vectors {
        let mut buffer = vec![0.0; vector.samples.len()];
        let spectrum = Spectrum::of(&vector.samples, vector.window, &mut buffer).unwrap();
        assert_eq!(spectrum.bins(), vector.power.len());
        let whole: f64 = vector.power.iter().sum();
        for (bin, expected) in vector.power.iter().enumerate() {
            let found = spectrum.power(bin);
            assert!(
                (found - expected).abs() < 1e-6 * whole,
                "{:?} {bin}: {found} {expected}",
                vector.window
            );
        }
    }
}

/// `numpy.histogram`, the fullest bin of each half and the mean of its samples.
#[test]
fn state_levels_are_those_of_the_histogram() {
    for vector in vectors().levels {
        let found = StateLevels::by(LevelMethod::Mode, &vector.samples).unwrap();
        // Means are rounded down to 1/65536 of a count.
        assert!((found.low - vector.low).abs() < 2e-5, "{found:?} {}", vector.low);
        assert!((found.high - vector.high).abs() < 2e-5, "{found:?} {}", vector.high);
    }
}

/// The mean of the shortest half of each half's samples, which the engine cuts at its bins.
#[test]
fn state_levels_are_the_shorths_to_two_bins() {
    for vector in vectors().levels {
        let found = StateLevels::by(LevelMethod::Shorth, &vector.samples).unwrap();
        for (level, (least, most)) in [found.low, found.high].into_iter().zip(vector.shorth) {
            // As many samples more as a bin holds move the mean a little.
            let near = 0.05 * (most - least) + 0.1;
            assert!((least - near..=most + near).contains(&level), "{level} {least} {most}");
        }
    }
}

/// `numpy.linalg.lstsq`, and `scipy.optimize.minimize_scalar` over the frequency.
#[test]
fn sines_are_those_of_least_squares() {
    for vector in vectors().sines {
        let three = SineFit::three_parameters(&vector.samples, vector.three.frequency).unwrap();
        let four = SineFit::of(&vector.samples).unwrap();
        for (found, expected, near) in [(three, vector.three, 1e-9), (four, vector.four, 1e-7)] {
            for (found, expected) in [
                (found.frequency, expected.frequency),
                (found.amplitude, expected.amplitude),
                (found.offset, expected.offset),
                (found.residual_rms, expected.residual_rms),
            ] {
                assert!((found / expected - 1.0).abs() < near, "{found} {expected}");
            }
            assert!((found.phase - expected.phase).abs() < 1e-5, "{found:?} {expected:?}");
        }
    }
}

/// `scipy.signal.find_peaks`: the strongest of a spectrum's peaks is its tone.
#[test]
fn the_tone_is_the_strongest_peak() {
    for vector in vectors().peaks {
        let mut buffer = [0.0; 256];
        let spectrum = Spectrum::of(&vector.samples, Window::BlackmanHarris, &mut buffer).unwrap();
        let found = spectrum.distortion().unwrap().frequency * 256.0;
        assert!((found - vector.strongest as f64).abs() < 0.5, "{found} {}", vector.strongest);
        for peak in vector.peaks {
            assert!(spectrum.power(peak) > spectrum.power(peak - 1));
            assert!(spectrum.power(peak) > spectrum.power(peak + 1));
        }
    }
}
