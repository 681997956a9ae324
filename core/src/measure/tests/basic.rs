use std::vec::Vec;

use crate::Scale;
use crate::measure::{Config, Meter, Reason, StateLevels, Statistics, measure};

fn square(period: usize, high: usize, len: usize) -> Vec<u16> {
    (0..len).map(|i| if i % period < high { 3000 } else { 500 }).collect()
}

#[test]
fn statistics_of_extreme_samples_are_exact() {
    let found = Statistics::of(&[i32::MIN, i32::MAX]).unwrap();
    assert_eq!(found.mean, -0.5);
    assert_eq!(found.ac_rms, 2_147_483_647.5);
    let found = Statistics::of(&[u32::MAX; 3]).unwrap();
    assert_eq!((found.rms, found.ac_rms), (4_294_967_295.0, 0.0));
    let found = Statistics::of(&std::vec![i8::MIN; 100_000]).unwrap();
    assert_eq!((found.mean, found.rms, found.ac_rms), (-128.0, 128.0, 0.0));
}

#[test]
fn small_swings_on_a_large_offset_keep_their_digits() {
    let samples: Vec<f32> = (0..1000).map(|i| if i % 2 == 0 { 1e6 } else { 1e6 + 0.25 }).collect();
    assert_eq!(Statistics::of(&samples).unwrap().ac_rms, 0.125);
}

#[test]
fn no_sample_and_no_number_have_no_value() {
    assert_eq!(measure::<u8>(&[]).mean, Err(Reason::Empty));
    for bad in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        for place in 0..3 {
            let mut samples = [0.0, 1.0, 2.0];
            samples[place] = bad;
            let found = measure(&samples);
            assert_eq!(
                (found.minimum, found.rms),
                (Err(Reason::NotFinite), Err(Reason::NotFinite))
            );
            assert_eq!(found.timing.period, Err(Reason::NotFinite));
        }
    }
}

#[test]
fn a_square_wave_reads_as_it_was_made() {
    let found = measure(&square(100, 30, 1000));
    assert_eq!((found.low, found.high, found.amplitude), (Ok(500.0), Ok(3000.0), Ok(2500.0)));
    assert_eq!((found.low_reference, found.mid_reference), (Ok(750.0), Ok(1750.0)));
    assert_eq!(found.high_reference, Ok(2750.0));
    // It begins high: 10 transitions down, 9 up.
    let timing = found.timing;
    assert_eq!((timing.cycles, timing.period, timing.frequency), (9, Ok(100.0), Ok(0.01)));
    assert_eq!((timing.positive_width, timing.negative_width), (Ok(30.0), Ok(70.0)));
    assert_eq!(timing.duty, Ok(0.3));
    // From one sample to the next: it may have been much faster.
    assert_eq!((timing.rise_time, timing.fall_time), (Err(Reason::TooFast), Err(Reason::TooFast)));
}

#[test]
fn every_sample_type_reads_the_same() {
    fn times<T: crate::Sample>(of: impl Fn(u8) -> T) -> (f64, f64, f64) {
        let samples: Vec<T> = (0..1000_u32)
            .map(|i| of((100.5 + 90.0 * libm::sin(f64::from(i) * 0.0371)) as u8))
            .collect();
        let found = measure(&samples);
        (found.mean.unwrap(), found.timing.period.unwrap(), found.timing.rise_time.unwrap())
    }
    let expected = times(|x| x);
    assert_eq!(times(i16::from), expected);
    assert_eq!(times(u16::from), expected);
    assert_eq!(times(i32::from), expected);
    assert_eq!(times(u32::from), expected);
    let (mean, period, rise) = times(f32::from);
    assert!((mean - expected.0).abs() < 1e-12);
    assert!((period - expected.1).abs() < 1e-4 && (rise - expected.2).abs() < 1e-3);
}

#[test]
fn the_two_codes_of_a_logic_probe_are_two_levels() {
    let samples: Vec<u8> = (0..90).map(|i| u8::from(i % 9 < 3)).collect();
    let found = measure(&samples);
    assert_eq!((found.low, found.high, found.timing.period), (Ok(0.0), Ok(1.0), Ok(9.0)));
    assert_eq!(found.timing.duty.map(|duty| (duty * 9.0).round()), Ok(3.0));
}

#[test]
fn a_triangle_has_its_extremes_for_levels() {
    let samples: Vec<i16> = (0..4000).map(|i| ((i % 400) - 200_i16).abs() * 7).collect();
    assert_eq!(StateLevels::of(&samples), Ok(StateLevels { low: 0.0, high: 1400.0 }));
}

#[test]
fn noise_about_one_level_is_one_level() {
    let mut state = 1_u32;
    let mut noise = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        state >> 24
    };
    let samples: Vec<u16> = (0..20_000).map(|_| (0..12).map(|_| noise() as u16).sum()).collect();
    assert_eq!(StateLevels::of(&samples), Err(Reason::OneLevel));
}

#[test]
fn too_few_transitions_have_a_reason() {
    let timing = measure(&square(100, 30, 60)).timing;
    let few = Err(Reason::NotEnoughCycles);
    assert_eq!((timing.period, timing.positive_width), (few, few));
    assert_eq!(timing.rise_time, Err(Reason::NoTransition));
    assert_eq!(timing.fall_time, Err(Reason::TooFast));
    let config =
        Config { levels: Some(StateLevels { low: 0.0, high: 8000.0 }), ..Config::default() };
    let timing = Meter::new(config).unwrap().measure(&square(100, 30, 600)).timing;
    assert_eq!(timing.period, Err(Reason::NoTransition));
}

#[test]
fn clipped_records_keep_only_what_holds() {
    let meter = Meter::new(Config { end_codes: Some((500.0, 4095.0)), ..Config::default() });
    let found = meter.unwrap().measure(&square(100, 30, 1000));
    let clipped = Err(Reason::Clipped);
    assert_eq!((found.minimum, found.maximum), (clipped, Ok(3000.0)));
    assert_eq!(found.rms, clipped);
    // It rests at the end code between fast edges, as logic does: said, but measured.
    assert_eq!((found.low, found.high), (Ok(500.0), Ok(3000.0)));
    assert_eq!((found.timing.period, found.timing.duty), (Ok(100.0), Ok(0.3)));
    assert!(found.doubts.low_at_end_code && !found.doubts.high_at_end_code);
    // What comes there slowly may have gone on.
    let ramps: Vec<u16> =
        (0..1000).map(|i| (900 - 20 * (i % 100_i32 - 50).abs()).clamp(200, 600) as u16).collect();
    let meter = Meter::new(Config { end_codes: Some((200.0, 4095.0)), ..Config::default() });
    let found = meter.unwrap().measure(&ramps);
    assert_eq!((found.low, found.high), (clipped, Ok(600.0)));
    assert_eq!((found.timing.period, found.timing.duty), (Ok(100.0), clipped));
}

#[test]
fn an_inverting_scale_turns_the_record_over() {
    let mut samples = square(100, 30, 1000);
    for (i, x) in samples.iter_mut().enumerate() {
        match i % 100 {
            30 => *x = 1800,
            96..=99 => *x = 500 * (i as u16 % 100 - 95),
            _ => {}
        }
    }
    let scale = Scale::new(-0.001, 500.0).unwrap();
    let found = measure(&samples).scaled(scale);
    let mirror: Vec<f32> = samples.iter().map(|&x| scale.volts(x.into()) as f32).collect();
    let direct = measure(&mirror);
    let near = |a: Result<f64, Reason>, b: Result<f64, Reason>| {
        assert!((a.unwrap() - b.unwrap()).abs() < 1e-5, "{a:?} {b:?}");
    };
    near(found.minimum, direct.minimum);
    near(found.high, direct.high);
    near(found.rms, direct.rms);
    near(found.high_reference, direct.high_reference);
    near(found.timing.duty, direct.timing.duty);
    near(found.timing.positive_width, direct.timing.positive_width);
    near(found.timing.rise_time, direct.timing.rise_time);
}
