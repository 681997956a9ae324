//! Decimators against what `SciPy` makes of the same signals (`data/decimate.py`).

use serde::Deserialize;
use stillwave::decimate::{Boxcar, Cic, Decimator, Fir, LowPass, magnitude};

#[derive(Deserialize)]
struct Vectors {
    samples: Vec<u16>,
    boxcar: Vec<Sums>,
    cic: Vec<Sums>,
    fir: Vec<Weighted>,
}

#[derive(Deserialize)]
struct Sums {
    #[serde(default)]
    order: u32,
    step: u32,
    outputs: Vec<i32>,
}

#[derive(Deserialize)]
struct Weighted {
    step: u32,
    attenuation: f64,
    taps: Vec<f64>,
    frequencies: Vec<f64>,
    response: Vec<f64>,
    outputs: Vec<f64>,
}

fn outputs<D: Decimator>(mut decimator: D, samples: &[D::Input]) -> Vec<D::Output> {
    let mut outputs = vec![];
    for block in samples.chunks(33) {
        decimator.push(block, |output| outputs.push(output));
    }
    outputs
}

#[test]
fn scipy_makes_the_same() {
    let vectors: Vectors = serde_json::from_str(include_str!("../data/decimate.json")).unwrap();
    let samples = &vectors.samples[..];
    assert_eq!((vectors.boxcar.len(), vectors.cic.len(), vectors.fir.len()), (3, 5, 3));
    for Sums { step, outputs: expected, .. } in &vectors.boxcar {
        assert_eq!(&outputs(Boxcar::new(*step).unwrap(), samples), expected, "{step}");
    }
    for Sums { order, step, outputs: expected } in &vectors.cic {
        let cic = Cic::<u16>::new(*order, *step).unwrap();
        assert_eq!(&outputs(cic, samples), expected, "{order} {step}");
    }
    for vector in &vectors.fir {
        check_fir(vector, samples);
    }
}

fn check_fir(vector: &Weighted, samples: &[u16]) {
    let low_pass = LowPass::for_step(vector.step, vector.attenuation).unwrap();
    let (mut real, mut whole) = (vec![0.0; low_pass.taps()], vec![0; low_pass.taps()]);
    let (real, whole) = (low_pass.fill(&mut real).unwrap(), low_pass.fill_q15(&mut whole).unwrap());
    assert_eq!(real.len(), vector.taps.len());
    for ((&real, &whole), &tap) in real.iter().zip(&*whole).zip(&vector.taps) {
        assert!((f64::from(real) - tap).abs() < 1e-7, "{real} {tap}");
        // The middle one takes what rounding the others left.
        assert!((f64::from(whole) / 32768.0 - tap).abs() < 1e-3, "{whole} {tap}");
    }
    for (&frequency, &expected) in vector.frequencies.iter().zip(&vector.response) {
        assert!((magnitude(real, frequency) - expected).abs() < 1e-6, "{frequency}");
    }

    let floats: Vec<f32> = samples.iter().map(|&x| f32::from(x)).collect();
    let fir = Fir::new(&*real, vector.step, 0, vec![0.0; real.len()]).unwrap();
    let found = outputs(fir, &floats);
    assert_eq!(found.len(), vector.outputs.len());
    for (found, expected) in found.iter().zip(&vector.outputs) {
        assert!((f64::from(*found) - expected).abs() < 0.005, "{found} {expected}");
    }
    let fir = Fir::<u16, _, _>::new(&*whole, vector.step, 8, vec![0; whole.len()]).unwrap();
    let found = outputs(fir, samples);
    assert_eq!(found.len(), vector.outputs.len());
    for (found, expected) in found.iter().zip(&vector.outputs) {
        // Half a 32768th a weight, of 4096 counts.
        let error = f64::from(*found) / 256.0 - expected;
        assert!(error.abs() < 1.5, "{error}");
    }
}
