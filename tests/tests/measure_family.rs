//! Measurements of the signal family, whose true values are known (`stillwave_tests::family`), and
//! of signals that earlier methods got wrong.

use std::f64::consts::{SQRT_2, TAU};

use stillwave::Scale;
use stillwave::measure::{Config, Doubt, Measure, Measurements, Meter, Reason, measure};
use stillwave_tests::dice::Dice;
use stillwave_tests::family::{QUANTITIES, Score, Seeds, table, within_one_sigma};

/// Cases a class: 16 classes have 20,800.
const EACH: u64 = 1300;

#[test]
fn few_of_the_judged_cases_are_wrong() {
    let scores = table(Seeds::Judged, EACH, measure::<u16>, |_, _, _| {});
    let all = scores.iter().fold(Score::default(), |all, (_, score)| all.and(score));
    assert!(all.cases >= 20_000);
    let [amplitude, duty, rise, frequency, missing] = all.percent();
    println!("{amplitude:.2} {duty:.2} {rise:.2} {frequency:.2} {missing:.2} % of {all:?}");
    assert!(amplitude <= 2.5, "amplitude: {amplitude:.2} %");
    assert!(duty <= 0.5, "duty: {duty:.2} %");
    assert!(rise <= 1.0, "rise: {rise:.2} %");
    assert!(frequency <= 1.0, "frequency: {frequency:.2} %");
    assert!(missing <= 1.0, "without a value: {missing:.2} %");
}

/// About two of three errors are within one standard uncertainty (68 % of a normal distribution).
#[test]
fn errors_are_as_large_as_their_uncertainties() {
    let (_, all) = within_one_sigma(Seeds::Judged, 400);
    println!("{QUANTITIES:?} {all:.1?}");
    for (quantity, percent) in QUANTITIES.iter().zip(all) {
        assert!((58.0..=78.0).contains(&percent), "{quantity}: {percent:.1} %");
    }
}

/// In volts and seconds they are as in counts and samples.
#[test]
fn uncertainties_have_the_units_of_their_values() {
    let samples = sampled(2000, |t| if t % 100.3 < 30.0 { 1.0 } else { -1.0 });
    let meter = Meter::default();
    let found = meter.measure(&samples);
    let sigma = meter.uncertainty(&samples, &found);
    let scale = Scale::new(-0.001, 2048.0).unwrap();
    let volts = sigma.scaled(scale).timed(1e6).unwrap();
    assert_eq!(volts.amplitude.unwrap(), sigma.amplitude.unwrap() * 0.001);
    assert_eq!(volts.low.unwrap(), sigma.high.unwrap() * 0.001);
    assert_eq!(volts.timing.duty, sigma.timing.duty);
    assert_eq!(volts.timing.positive_width.unwrap(), sigma.timing.negative_width.unwrap() / 1e6);
    assert_eq!(volts.timing.frequency.unwrap(), sigma.timing.frequency.unwrap() * 1e6);
    assert_eq!(sigma.timing.rise_time, found.timing.rise_time);
    assert!(sigma.timed(0.0).is_err());
}

/// Whatever samples are: the same signal as 16-bit, 32-bit and floating-point ones.
#[test]
fn other_sample_types_are_measured_alike() {
    let wide = |samples: &[u16]| -> Vec<i32> {
        samples.iter().map(|&x| (i32::from(x) - 30_000) * 40_000).collect()
    };
    let real = |samples: &[u16]| -> Vec<f32> { samples.iter().map(|&x| f32::from(x)).collect() };
    for measure in [
        &(|samples: &[u16]| measure(&wide(samples)).scaled_by(1.0 / 40_000.0))
            as &dyn Fn(&[u16]) -> Measurements,
        &|samples: &[u16]| measure(&real(samples)),
    ] {
        let scores = table(Seeds::Judged, 60, measure, |_, _, _| {});
        let all = scores.iter().fold(Score::default(), |all, (_, score)| all.and(score));
        println!("{:?} %", all.percent());
        let [amplitude, duty, rise, frequency, missing] = all.percent();
        assert!(amplitude <= 4.0 && duty <= 1.0 && rise <= 1.5, "{all:?}");
        assert!(frequency <= 1.5 && missing <= 1.0, "{all:?}");
    }
}

trait ScaledBy {
    fn scaled_by(self, size: f64) -> Self;
}

impl ScaledBy for Measurements {
    fn scaled_by(self, size: f64) -> Self {
        self.scaled(Scale::new(size, 0.0).unwrap())
    }
}

/// `len` samples of a voltage of −1 to 1, by a converter of 12 bits, about its middle.
fn sampled(len: usize, volts: impl Fn(f64) -> f64) -> Vec<u16> {
    (0..len).map(|i| (2048.0 + 1500.0 * volts(i as f64)).round() as u16).collect()
}

#[track_caller]
fn assert_near(what: &str, found: Result<f64, Reason>, expected: f64, relative: f64) {
    let found = found.unwrap_or_else(|reason| panic!("{what}: {reason}"));
    let error = (found / expected - 1.0).abs();
    assert!(error <= relative, "{what}: {found}, expected {expected}");
}

fn triangle(t: f64) -> f64 {
    1.0 - 4.0 * ((t + 0.25).rem_euclid(1.0) - 0.5).abs()
}

/// Values repeat when sampling is locked, so that single bins of a histogram stand out: this one
/// read an amplitude of 1843 and a duty of 37.5 %.
#[test]
fn a_sine_of_54_samples_a_cycle() {
    let found = measure(&sampled(1000, |t| (TAU * t / 54.0).sin()));
    assert_near("amplitude", found.amplitude, 3000.0, 0.003);
    assert_near("duty", found.timing.duty, 0.5, 0.002);
    assert!(found.doubts.low_does_not_rest && found.doubts.high_does_not_rest);
    assert_eq!(found.doubts.about(Measure::Amplitude).next(), Some(Doubt::DoesNotRest));
    assert_eq!(found.doubts.about(Measure::Frequency).next(), None);
}

/// At most 2 % outside of what lies between the extreme samples and the true peaks.
#[test]
fn sines_and_triangles_of_5_to_200_samples_a_cycle() {
    for shape in [|t: f64| (TAU * t).sin(), triangle] {
        for step in 0..1200 {
            let locked = step % 2 == 0;
            let period =
                if locked { f64::from(5 + step / 2 % 196) } else { 5.0 + f64::from(step) * 0.1627 };
            let phase = f64::from(step) * 0.377;
            let samples = sampled(1000, |t| shape(t / period + phase));
            let found = measure(&samples).amplitude.unwrap();
            let (low, high) = (samples.iter().min().unwrap(), samples.iter().max().unwrap());
            let shown = f64::from(high - low);
            assert!(
                (shown * 0.98..=3000.0 * 1.02).contains(&found),
                "{period} samples a cycle: {found}, shown {shown}"
            );
        }
    }
}

#[test]
fn triangles_have_their_peaks() {
    for period in [16.0, 40.0, 100.0, 333.3] {
        let found = measure(&sampled(1000, |t| triangle(t / period)));
        assert_near("amplitude", found.amplitude, 3000.0, 0.03);
        assert_near("duty", found.timing.duty, 0.5, 0.02);
        assert_near("rise", found.timing.rise_time, 0.4 * period, 0.03);
    }
}

/// A converter that cannot see below 0 V. Its lowest code is where logic rests: said, but no reason
/// to say nothing of levels, duty and widths.
#[test]
fn logic_from_0_volts() {
    let meter = Meter::new(Config { end_codes: Some((0.0, 4095.0)), ..Config::default() }).unwrap();
    let mut dice = Dice::new(3);
    let samples: Vec<u16> = (0..2000)
        .map(|i| {
            let level = if i % 100 < 30 { 3300.0 } else { 0.0 };
            (level + 4.0 * dice.normal()).clamp(0.0, 4095.0) as u16
        })
        .collect();
    let found = meter.measure(&samples);
    assert_near("high", found.high, 3300.0, 0.002);
    assert!(found.low.unwrap() < 5.0);
    assert_eq!(found.minimum, Err(Reason::Clipped));
    assert_near("duty", found.timing.duty, 0.3, 0.001);
    assert_near("width", found.timing.positive_width, 30.0, 0.001);
    assert_near("frequency", found.timing.frequency, 0.01, 0.001);
    assert_eq!(found.doubts.about(Measure::Duty).next(), Some(Doubt::AtEndCode));
    assert!(found.doubts.low_at_end_code && !found.doubts.high_at_end_code);
    // A sine that the converter cuts off rests there for its own reason.
    let cut: Vec<u16> =
        (0..2000).map(|i| (1500.0 + 2500.0 * (TAU * f64::from(i) / 100.0).sin()) as u16).collect();
    let found = meter.measure(&cut);
    assert_eq!((found.low, found.timing.duty), (Err(Reason::Clipped), Err(Reason::Clipped)));
    assert_near("frequency", found.timing.frequency, 0.01, 0.001);
}

/// It made the rise time 334 µs.
#[test]
fn one_spike_of_one_sample() {
    let mut samples = sampled(2000, |t| (TAU * t / 100.0).sin() / 3.0);
    let clean = measure(&samples);
    samples[775] = 4000;
    let found = measure(&samples);
    assert_eq!((found.low, found.high), (clean.low, clean.high));
    assert_near("rise", found.timing.rise_time, 29.517, 0.01);
    assert_near("frequency", found.timing.frequency, 0.01, 1e-4);
    assert_eq!((found.maximum, found.doubts.left_out), (Ok(4000.0), 1));
    let about: Vec<Doubt> = found.doubts.about(Measure::RiseTime).collect();
    assert!(about.contains(&Doubt::LeftOut(1)), "{about:?}");
    assert_eq!(Doubt::LeftOut(3).to_string(), "3 samples stand apart and are left out");
}

/// It read half the amplitude.
#[test]
fn three_levels_of_a_bridge() {
    let bridge = |t: f64| match (t / 25.0) as u32 % 4 {
        0 => 1.0,
        2 => -1.0,
        _ => 0.0,
    };
    let found = measure(&sampled(2000, bridge));
    assert_eq!((found.low, found.high), (Ok(548.0), Ok(3548.0)));
    assert_near("frequency", found.timing.frequency, 0.01, 1e-3);
    assert!((found.doubts.third_level.unwrap() - 2048.0).abs() < 20.0);
    assert!(found.doubts.about(Measure::Duty).any(|doubt| matches!(doubt, Doubt::ThirdLevel(_))));
}

#[test]
fn amplitude_modulated_by_40_percent() {
    let modulated = |t: f64| (TAU * t / 37.3).sin() * (1.0 + 0.4 * (TAU * t / 1371.0).sin()) / 1.4;
    let found = measure(&sampled(4000, modulated));
    assert_near("frequency", found.timing.frequency, 1.0 / 37.3, 0.002);
    assert_near("amplitude", found.amplitude, 3000.0, 0.02);
    assert!(found.doubts.amplitude_changes);
    assert_eq!(found.doubts.period_varies, None);
}

/// It read a high state of 17 mV, where the amplifier changes from one transistor to the other.
#[test]
fn crossover_distortion() {
    let crossover = |t: f64| {
        let sine = (TAU * t / 100.3).sin();
        sine.signum() * (sine.abs() - 0.2).max(0.0) / 0.8
    };
    let found = measure(&sampled(3000, crossover));
    assert_near("amplitude", found.amplitude, 3000.0, 0.02);
    assert_near("frequency", found.timing.frequency, 1.0 / 100.3, 0.002);
    assert!((found.doubts.third_level.unwrap() - 2048.0).abs() < 60.0);
}

#[test]
fn a_state_that_still_rings() {
    let ringing = |damping: f64| {
        let step = move |t: f64| 1.0 - (-damping * t).exp() * t.cos();
        let volts = move |t: f64| {
            if t % 200.0 < 100.0 {
                step(t % 200.0 / 2.0)
            } else {
                1.0 - step((t % 200.0 - 100.0) / 2.0)
            }
        };
        measure(&sampled(2000, volts)).doubts.still_ringing
    };
    assert!(ringing(0.11));
    assert!(!ringing(0.3));
}

#[test]
fn a_period_that_varies() {
    let mut dice = Dice::new(17);
    let mut samples = Vec::new();
    for _ in 0..40 {
        let period = 80 + dice.below(41) as usize;
        samples.extend((0..period).map(|i| if i < period / 2 { 3000_u16 } else { 500 }));
    }
    let found = measure(&samples);
    // Evenly from 80 to 120, a deviation of 11.8 of 100; from one fall to the next it is half of one
    // and half of another.
    assert!((found.doubts.period_varies.unwrap() - 0.118 / SQRT_2).abs() < 0.02);
    assert!(matches!(found.doubts.about(Measure::Frequency).next(), Some(Doubt::PeriodVaries(_))));
}
