//! Whatever the samples are, every measurement is a finite number or a reason why not.

use proptest::prelude::*;
use stillwave::measure::{
    Config, Factors, LevelMethod, Measurements, Meter, References, SineFit, StateLevels, Timing,
    Value, area, gate,
};
use stillwave::{Instant, Sample, Scale, Slope};

fn sound<const N: usize>(values: [Value; N]) {
    for value in values {
        assert!(value.is_err() || value.unwrap().is_finite(), "{value:?}");
    }
}

fn assert_sound<T: Sample>(samples: &[T], meter: &Meter) {
    let scale = Scale::new(-1e-3, 12.5).unwrap();
    let found = meter.measure(samples);
    for Measurements {
        minimum,
        maximum,
        peak_to_peak,
        mean,
        rms,
        ac_rms,
        low,
        high,
        amplitude,
        mid_reference,
        timing,
        ..
    } in [found, found.scaled(scale).timed(1e6).unwrap()]
    {
        sound([minimum, maximum, peak_to_peak, mean, rms, ac_rms]);
        sound([low, high, amplitude, mid_reference]);
        for timing in [timing, timing.resolution()] {
            let Timing { period, frequency, duty, positive_width, negative_width, .. } = timing;
            sound([period, frequency, duty, positive_width, negative_width]);
            sound([timing.rise_time, timing.fall_time]);
        }
    }
    for method in [LevelMethod::Mode, LevelMethod::Mean, LevelMethod::Shorth] {
        let levels = StateLevels::by(method, samples);
        assert!(levels.is_err() || levels.unwrap().amplitude().is_finite());
    }
    for slope in [Slope::Rising, Slope::Falling] {
        let shape = meter.edge_shape(samples, slope);
        sound([shape.duration, shape.slew_rate, shape.overshoot, shape.undershoot]);
        sound([shape.preshoot, shape.settling]);
        let delay = meter.delay(samples, slope, samples, Slope::Rising);
        sound([delay.delay, delay.phase]);
    }
    if let Ok(cycles) = meter.over_cycles(samples) {
        sound([cycles.mean, cycles.rms, cycles.ac_rms].map(Ok));
    }
    if let Ok(factors) = Factors::of(samples, 0.5) {
        sound([factors.crest, factors.form, factors.rectified_mean].map(Ok));
    }
    sound([area(samples, 0.5)]);
    for fit in [SineFit::of(samples), SineFit::three_parameters(samples, 0.1)].iter().flatten() {
        sound([fit.amplitude, fit.phase, fit.offset, fit.residual_rms].map(Ok));
        sound([fit.sinad(), fit.enob(65536.0)]);
    }
    let part = gate(samples, 5, Instant { position: 7, lead: 1 << 16 }, Instant::at(40));
    assert!(part.len() <= 34);
}

fn meters() -> impl Strategy<Value = Meter> {
    let level = prop_oneof![-1e4..1e4_f64, Just(1e300), Just(-1e300), Just(1e-40)];
    (0.01..0.4_f64, 0.6..0.99_f64, 0.0..0.09_f64, prop::option::of((level.clone(), level)))
        .prop_map(|(low, high, hysteresis, levels)| {
            let references = References { low, mid: 0.5, high };
            let levels = levels
                .filter(|(a, b)| a != b)
                .map(|(a, b)| StateLevels { low: a.min(b), high: a.max(b) });
            let config = Config { references, hysteresis, levels, ..Config::default() };
            Meter::new(config).unwrap()
        })
}

/// Numbers where something is likely to break, and any others.
fn floats() -> impl Strategy<Value = f32> {
    prop_oneof![
        8 => any::<f32>(),
        8 => -5.0..5.0_f32,
        1 => prop::sample::select(vec![
            f32::MAX, f32::MIN, 0.0, -0.0, 1e-45, f32::NAN, f32::INFINITY, f32::NEG_INFINITY,
        ]),
    ]
}

/// A failure prints its smallest case; what it teaches goes into a test of its own.
fn no_files() -> ProptestConfig {
    ProptestConfig { failure_persistence: None, ..ProptestConfig::default() }
}

macro_rules! sound_for {
    ($($name:ident $sample:expr),* $(,)?) => {
        proptest! {
#![proptest_config(no_files())]
            $(
                #[test]
                fn $name(samples in prop::collection::vec($sample, 0..200), meter in meters()) {
                    assert_sound(&samples, &meter);
                }
            )*
        }
    };
}

sound_for!(
    every_u8_record_is_sound any::<u8>(),
    every_i8_record_is_sound any::<i8>(),
    every_u16_record_is_sound any::<u16>(),
    every_i16_record_is_sound any::<i16>(),
    every_i32_record_is_sound any::<i32>(),
    every_u32_record_is_sound any::<u32>(),
    every_f32_record_is_sound floats(),
    every_small_f32_record_is_sound -1.0..1.0_f32,
    every_u8_record_of_few_codes_is_sound 0..3_u8,
    every_i32_record_of_extremes_is_sound prop::sample::select(vec![i32::MIN, i32::MAX, 0, -1]),
    every_f32_record_of_extremes_is_sound
        prop::sample::select(vec![f32::MIN, f32::MAX, 0.0, 1e-45, -1e-45]),
);
