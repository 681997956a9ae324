//! Whatever the samples are, every measurement is a finite number or a reason why not.

use proptest::prelude::*;
use stillwave::measure::{Config, Meter, References, StateLevels};
use stillwave_tests::sound::assert_sound;

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
