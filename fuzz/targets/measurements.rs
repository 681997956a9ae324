//! Whatever is measured is finite, or there is a reason why not: meters, spectra, ellipses,
//! statistics, masks.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave::expect::{Limit, Mask, MaskPoint, MaskTest};
use stillwave::measure::{
    Config, Distribution, Lissajous, Meter, References, Running, Spectrum, StateLevels, Value,
    Window,
};
use stillwave_fuzz::core_input::{Threshold, Type, Wave};
use stillwave_fuzz::for_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::sound::assert_sound;

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    threshold: Threshold,
    references: [u8; 3],
    levels: Option<[f64; 2]>,
    ends: Option<[f64; 2]>,
    corners: Vec<(i32, u8)>,
    limit: [f64; 2],
    first: i64,
    waves: [Wave; 2],
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

fn finite(value: Value) {
    assert!(value.is_err() || value.is_ok_and(f64::is_finite), "{value:?}");
}

fn meter(input: &Input) -> Option<Meter> {
    let [low, high, hysteresis] = input.references.map(|byte| f64::from(byte) / 256.0);
    let config = Config {
        references: References { low: low / 2.0, mid: 0.5, high: 0.5 + high / 2.0 },
        hysteresis,
        levels: input.levels.map(|[low, high]| StateLevels { low, high }),
        end_codes: input.ends.map(|[lowest, highest]| (lowest, highest)),
        ..Config::default()
    };
    Meter::new(config).ok()
}

fn check<T: Kind>(input: &Input) {
    let (level, hysteresis) = (input.threshold.level::<T>(), input.threshold.hysteresis::<T>());
    let [a, b] = input.waves.each_ref().map(|wave| wave.samples::<T>(&[level], hysteresis));
    if let Some(meter) = meter(input) {
        assert_sound(&a, &meter);
        let measured = meter.measure(&a);
        let sigma = meter.uncertainty(&a, &measured);
        for value in [sigma.amplitude, sigma.rms, sigma.timing.period, sigma.timing.duty] {
            assert!(value.is_err() || value.is_ok_and(|sigma| sigma >= 0.0 && sigma.is_finite()));
        }
        let (mut running, mut spread) = (Running::default(), Distribution::default());
        for value in [measured.mean, measured.rms, measured.timing.period, Ok(input.limit[0])] {
            running.push(value);
            spread.push(value);
        }
        spread.bins().for_each(|bin| assert!(bin.count <= 4));
    }
    for window in [Window::Hann, Window::FlatTop] {
        let mut buffer = vec![0.0; a.len()];
        let Ok(spectrum) = Spectrum::of(&a, window, &mut buffer) else { continue };
        let Ok(found) = spectrum.distortion() else { continue };
        finite(found.enob());
    }
    let both = a.len().min(b.len());
    if let Ok(ellipse) = Lissajous::of(&a[..both], &b[..both]) {
        assert!(ellipse.phase.is_finite() && ellipse.sine().is_finite(), "{ellipse:?}");
    }
    mask(input, &a, level, hysteresis);
    if let Ok(limit) = Limit::nominal(input.limit[0], input.limit[1]) {
        limit.check(Ok(input.limit[0]));
    }
}

/// A mask test is the same however the samples are cut.
fn mask<T: Kind>(input: &Input, samples: &[T], level: T::Wide, hysteresis: T::Wide) {
    let possible = T::corners(level, hysteresis);
    let corners: Vec<MaskPoint<T::Wide>> = input
        .corners
        .iter()
        .map(|&(time, byte)| MaskPoint {
            time: time.into(),
            level: possible[usize::from(byte) % possible.len()].widen(),
        })
        .collect();
    let (upper, lower) = corners.split_at(corners.len() / 2);
    let Ok(mask) = Mask::<T>::new(upper, lower) else { return };
    let whole = mask.test(samples, input.first);
    let mut cut = MaskTest::new(mask, input.first);
    let (one, rest) = samples.split_at(samples.len().min(1));
    cut.push(one);
    cut.push(&[]);
    rest.chunks(7).for_each(|block| cut.push(block));
    assert_eq!(cut.verdict(), whole);
    finite(whole.margin);
    assert!(whole.outside <= whole.tested);
}
