//! Measurements against plain arithmetic, on signals made at random.

use proptest::prelude::*;
use stillwave::measure::{
    Config, Factors, LevelMethod, Meter, Reason, StateLevels, Statistics, Timing, Transition, area,
    measure,
};
use stillwave::{Scale, Slope};

/// A failure prints its smallest case; what it teaches goes into a test of its own.
fn no_files() -> ProptestConfig {
    ProptestConfig { failure_persistence: None, ..ProptestConfig::default() }
}

/// Sums in whole numbers, straight from the definitions.
fn naive_statistics(samples: &[i64]) -> Statistics {
    let n = samples.len() as i128;
    let sum: i128 = samples.iter().map(|&x| i128::from(x)).sum();
    let squares: i128 = samples.iter().map(|&x| i128::from(x) * i128::from(x)).sum();
    let spread = n * squares - sum * sum;
    Statistics {
        minimum: *samples.iter().min().unwrap() as f64,
        maximum: *samples.iter().max().unwrap() as f64,
        mean: sum as f64 / n as f64,
        rms: (squares as f64 / n as f64).sqrt(),
        ac_rms: (spread as f64).sqrt() / n as f64,
    }
}

fn assert_same(found: Statistics, expected: Statistics) {
    assert_eq!((found.minimum, found.maximum), (expected.minimum, expected.maximum));
    for (a, b) in
        [(found.mean, expected.mean), (found.rms, expected.rms), (found.ac_rms, expected.ac_rms)]
    {
        assert!((a - b).abs() <= 4.0 * f64::EPSILON * b.abs(), "{found:?} {expected:?}");
    }
}

macro_rules! statistics_of {
    ($($name:ident $sample:ty),*) => {
        proptest! {
#![proptest_config(no_files())]
            $(
                #[test]
                fn $name(samples in prop::collection::vec(any::<$sample>(), 1..600)) {
                    let wide: Vec<i64> = samples.iter().map(|&x| i64::from(x)).collect();
                    assert_same(Statistics::of(&samples).unwrap(), naive_statistics(&wide));
                }
            )*
        }
    };
}

statistics_of!(
    statistics_of_u8 u8, statistics_of_i8 i8, statistics_of_u16 u16, statistics_of_i16 i16,
    statistics_of_i32 i32, statistics_of_u32 u32
);

/// Longer than one run of short sums.
#[test]
fn statistics_of_long_records() {
    for x in [0_u16, 1, 40_000, u16::MAX] {
        let mut samples = vec![x; 200_000];
        samples[7] = 3;
        let wide: Vec<i64> = samples.iter().map(|&x| i64::from(x)).collect();
        assert_same(Statistics::of(&samples).unwrap(), naive_statistics(&wide));
    }
    // More samples than 16-bit counts of a histogram hold.
    let square: Vec<u16> = (0..300_000).map(|i| if i % 100 < 30 { 3000 } else { 500 }).collect();
    let found = measure(&square);
    assert_eq!((found.low, found.high), (Ok(500.0), Ok(3000.0)));
    assert_eq!(found.timing.cycles, 2999);
}

/// A signal of slow and fast transitions, plateaus and noise.
fn signals() -> impl Strategy<Value = Vec<i32>> {
    let leg = (-2000..2000_i32, 1..40_usize, 0..20_usize);
    (prop::collection::vec(leg, 2..30), 0..60_i32, any::<u32>()).prop_map(|(legs, noise, seed)| {
        let mut state = seed;
        let mut samples = vec![];
        let mut last = 0;
        for (to, steps, rest) in legs {
            for step in 1..=steps as i32 {
                samples.push(last + (to - last) * step / steps as i32);
            }
            samples.extend(std::iter::repeat_n(to, rest));
            last = to;
        }
        for x in &mut samples {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *x += (state >> 16) as i32 % (noise + 1) - noise / 2;
        }
        samples
    })
}

/// Where a curve between 0 and 1 passes a level that lies between its ends, by bisection.
fn passage(curve: impl Fn(f64) -> f64, level: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    let begins_below = curve(0.0) < level;
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if (curve(middle) < level) == begins_below { low = middle } else { high = middle }
    }
    low
}

/// Where the signal passes the level, between sample `index`, the first at or past it, and the one
/// before: on the cubic through four samples; where the signal bends more than a quarter of its
/// step, beside a corner on the parabola through the three samples on its other side, or on the charge
/// that begins there; else on the straight line. All that it may be: at the edge of a rule there are two.
#[allow(clippy::many_single_char_names)] // neighbours, in order
fn naive_instant(samples: &[f64], index: usize, level: f64) -> Vec<f64> {
    let (p, q) = (samples[index - 1], samples[index]);
    let line = index as f64 - (q - level) / (q - p);
    let get = |offset: isize| samples.get(index.checked_add_signed(offset)?).copied();
    if let (Some(o), Some(r)) = (get(-2), get(1)) {
        let (bend_p, bend_q) = (o - 2.0 * p + q, p - 2.0 * q + r);
        let quarter = ((q - p).abs() / 4.0).floor();
        if bend_p.abs() <= quarter && bend_q.abs() <= quarter {
            let cubic = |t: f64| {
                -t * (t - 1.0) * (t - 2.0) / 6.0 * o + (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0 * p
                    - (t + 1.0) * t * (t - 2.0) / 2.0 * q
                    + (t + 1.0) * t * (t - 1.0) / 6.0 * r
            };
            return vec![index as f64 - 1.0 + passage(cubic, level)];
        }
    } else {
        return vec![line];
    }
    let after = [-2, -1, 0, 1, 2].map(get);
    let before = [1, 0, -1, -2, -3].map(get);
    for (around, mirrored) in [(after, false), (before, true)] {
        let [Some(a), Some(b), Some(c), Some(d), Some(e)] = around else { continue };
        let sign = (c - b).signum();
        let [before, over, one, more] = [b - a, c - b, d - c, e - d].map(|step| sign * step);
        let is_corner = 4.0 * before.abs() <= over
            && 4.0 * over <= 5.0 * one
            && 4.0 * (more - one).abs() <= one;
        if !is_corner {
            continue;
        }
        // Backwards in time from sample c.
        let parabola = |t: f64| c - sign * t * (one + 0.5 * (t + 1.0) * (one - more));
        let is_between =
            (sign * (parabola(0.0) - level) >= 0.0) && sign * (parabola(1.0) - level) <= 0.0;
        let lead = passage(parabola, level);
        let place = if mirrored { index as f64 - 1.0 + lead } else { index as f64 - lead };
        let edge = (sign * (parabola(1.0) - level)).abs() < 0.01 * one;
        match (is_between, edge) {
            (true, false) => return vec![place],
            (_, true) => return vec![place, line],
            _ => {}
        }
    }
    let after = [-2, -1, 0, 1, 2, 3].map(get);
    let before = [1, 0, -1, -2, -3, -4].map(get);
    for (around, mirrored) in [(after, false), (before, true)] {
        let [Some(a), Some(b), Some(c), Some(d), Some(e), Some(f)] = around else { continue };
        let sign = (c - b).signum();
        let [before, over, one, two, three] =
            [b - a, c - b, d - c, e - d, f - e].map(|step| sign * step);
        let is_charge = 2.0 * two >= one
            && 4.0 * two < 3.0 * one
            && 4.0 * before.abs() <= over
            && 4.0 * over <= 5.0 * one * one / two
            && 8.0 * (three * one - two * two).abs() <= two * two;
        if !is_charge {
            continue;
        }
        let delta = 1.0 - two / one;
        // Backwards in time from sample c.
        let charge = |t: f64| {
            let steps = t
                + delta * t * (t + 1.0) / 2.0
                + delta.powi(2) * t * (t + 1.0) * (t + 2.0) / 6.0
                + delta.powi(3) * t * (t + 1.0) * (t + 2.0) * (t + 3.0) / 24.0;
            c - sign * one * steps
        };
        let lead = passage(charge, level);
        let place = if mirrored { index as f64 - 1.0 + lead } else { index as f64 - lead };
        let over = sign * (charge(1.0) - level);
        if over <= 0.01 * one {
            return if over < -0.01 * one { vec![place] } else { vec![place, line] };
        }
    }
    vec![line]
}

/// The transitions by their definition, sample by sample.
fn naive_transitions(samples: &[f64], levels: [f64; 5]) -> Vec<(Slope, [Option<Vec<f64>>; 3])> {
    let [low, below, mid, above, high] = levels;
    let mut crossings = vec![];
    let mut is_high = None;
    for (i, &x) in samples.iter().enumerate() {
        if x >= above || x <= below {
            let side = x >= above;
            if is_high.replace(side).is_some_and(|before| before != side) {
                crossings.push((i, side));
            }
        }
    }
    let mut found = vec![];
    for (nth, &(at, side)) in crossings.iter().enumerate() {
        let since = if nth == 0 { 0 } else { crossings[nth - 1].0 };
        let until = crossings.get(nth + 1).map_or(samples.len(), |next| next.0);
        let up = |x: f64, level: f64| if side { x - level } else { level - x };
        let (first, last) = if side { (low, high) } else { (high, low) };
        let middle = (since..at).rev().find(|&k| up(samples[k], mid) < 0.0).unwrap() + 1;
        let begin = (since..middle).rev().find(|&k| up(samples[k], first) <= 0.0);
        let end = (middle..until).find(|&k| up(samples[k], last) >= 0.0);
        let slope = if side { Slope::Rising } else { Slope::Falling };
        found.push((
            slope,
            [
                begin.map(|k| naive_instant(samples, k + 1, first)),
                Some(naive_instant(samples, middle, mid)),
                end.map(|k| naive_instant(samples, k, last)),
            ],
        ));
    }
    found
}

fn meter_between(low: f64, high: f64) -> Meter {
    let levels = Some(StateLevels { low, high });
    Meter::new(Config { levels, ..Config::default() }).unwrap()
}

proptest! {
#![proptest_config(no_files())]
    #[test]
    fn transitions_are_as_defined(
        samples in signals(),
        low in -1500.0..-100.0_f64,
        amplitude in 200.0..2500.0_f64,
    ) {
        // Levels as the engine holds them, in 1/65536 of a count.
        let fixed = |level: f64| (level * 65536.0).round() / 65536.0;
        let levels = StateLevels { low, high: low + amplitude };
        let at = |fraction: f64| fixed(levels.at(fraction));
        let hysteresis = 0.1 * levels.amplitude();
        let (below, above) = (fixed(levels.at(0.5) - hysteresis), fixed(levels.at(0.5) + hysteresis));
        let real: Vec<f64> = samples.iter().map(|&x| f64::from(x)).collect();
        let expected = naive_transitions(&real, [at(0.1), below, at(0.5), above, at(0.9)]);
        let meter = meter_between(low, low + amplitude);
        let found: Vec<Transition> = meter.transitions(&samples).unwrap().collect();
        let narrow: Vec<i16> = samples.iter().map(|&x| x as i16).collect();
        let narrow: Vec<Transition> = meter.transitions(&narrow).unwrap().collect();
        prop_assert_eq!(&found, &narrow);
        prop_assert_eq!(found.len(), expected.len());
        for (found, (slope, instants)) in found.iter().zip(expected) {
            prop_assert_eq!(found.slope, slope);
            let ours = [found.begin, Some(found.mid), found.end];
            for (ours, instant) in ours.into_iter().zip(instants) {
                prop_assert_eq!(ours.is_some(), instant.is_some());
                if let (Some(ours), Some(instant)) = (ours, instant) {
                    // One step towards the cubic leaves a thousandth of a sample at its worst.
                    let near = |&instant: &f64| (ours.samples() - instant).abs() < 2e-3;
                    prop_assert!(instant.iter().any(near), "{} {instant:?}", ours.samples());
                }
            }
        }
    }

    #[test]
    fn floating_point_samples_have_the_same_transitions(samples in signals()) {
        let meter = meter_between(-700.25, 1203.5);
        let real: Vec<f32> = samples.iter().map(|&x| x as f32).collect();
        let whole: Vec<Transition> = meter.transitions(&samples).unwrap().collect();
        let real: Vec<Transition> = meter.transitions(&real).unwrap().collect();
        prop_assert_eq!(whole.len(), real.len());
        for (a, b) in whole.iter().zip(&real) {
            // At the very edge of smoothness one of the two may be straight.
            prop_assert!((a.mid.samples() - b.mid.samples()).abs() < 0.02, "{a:?} {b:?}");
        }
    }

    #[test]
    fn an_offset_changes_levels_alone(samples in signals(), offset in -20_000..20_000_i32) {
        let moved: Vec<i32> = samples.iter().map(|x| x + offset).collect();
        let (a, b) = (measure(&samples), measure(&moved));
        // But for the rounding of the references to 1/65536 of a count.
        for (a, b) in times(&a.timing).into_iter().zip(times(&b.timing)) {
            if let (Ok(a), Ok(b)) = (a, b) {
                prop_assert!((a - b).abs() < 1e-4 * (1.0 + a.abs()));
            } else {
                prop_assert_eq!(a, b);
            }
        }
        prop_assert_eq!(a.amplitude, b.amplitude);
        prop_assert_eq!(a.low.map(|low| low + f64::from(offset)), b.low);
        prop_assert_eq!(a.peak_to_peak, b.peak_to_peak);
    }

    #[test]
    fn volts_are_the_same_before_and_after(
        samples in signals(),
        zero in -500.0..500.0_f64,
        size in 0.001..10.0_f64,
        inverts in any::<bool>(),
    ) {
        let scale = Scale::new(if inverts { -size } else { size }, zero).unwrap();
        let found = Statistics::of(&samples).unwrap();
        let after = measure(&samples).scaled(scale);
        let volts: Vec<f64> = samples.iter().map(|&x| scale.volts(x.into())).collect();
        let n = volts.len() as f64;
        let mean = volts.iter().sum::<f64>() / n;
        let rms = (volts.iter().map(|v| v * v).sum::<f64>() / n).sqrt();
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9 * (1.0 + size * 3000.0);
        prop_assert!(near(after.mean.unwrap(), mean) && near(after.rms.unwrap(), rms));
        prop_assert!(near(after.ac_rms.unwrap(), found.ac_rms * size));
        let extremes = volts.iter().fold((f64::MAX, f64::MIN), |(a, b), &v| (a.min(v), b.max(v)));
        prop_assert!(near(after.minimum.unwrap(), extremes.0));
        prop_assert!(near(after.maximum.unwrap(), extremes.1));
    }

    #[test]
    fn every_method_keeps_within_the_samples(samples in signals()) {
        if let Ok(levels) = StateLevels::by(LevelMethod::Rest, &samples) {
            // What stands apart is left out, so that the middle may be another.
            let found = Statistics::of(&samples).unwrap();
            prop_assert!(found.minimum <= levels.low && levels.low < levels.high);
            prop_assert!(levels.high <= found.maximum);
        }
        for method in [LevelMethod::Mode, LevelMethod::Mean, LevelMethod::Shorth, LevelMethod::Extremes] {
            let Ok(levels) = StateLevels::by(method, &samples) else { continue };
            let found = Statistics::of(&samples).unwrap();
            // The middle of the bins is that of the range to half a bin.
            let middle = f64::midpoint(found.minimum, found.maximum);
            let bin = (found.maximum - found.minimum) / 8.0;
            prop_assert!(found.minimum <= levels.low && levels.low <= middle + bin, "{method:?}");
            prop_assert!(middle - bin <= levels.high && levels.high <= found.maximum, "{method:?}");
        }
    }

    #[test]
    fn rectified_mean_and_area_are_as_defined(samples in signals(), zero in -900.0..900.0_f64) {
        let n = samples.len();
        let distances = samples.iter().map(|&x| (f64::from(x) - zero).abs()).sum::<f64>();
        let found = Factors::of(&samples, zero).unwrap();
        prop_assert!((found.rectified_mean - distances / n as f64).abs() < 1e-9);
        let strips = samples.windows(2).map(|w| f64::from(w[0] + w[1]) / 2.0 - zero).sum::<f64>();
        prop_assert!((area(&samples, zero).unwrap() - strips).abs() < 1e-6);
    }
}

fn times(timing: &Timing) -> [Result<f64, Reason>; 7] {
    [
        timing.period,
        timing.frequency,
        timing.duty,
        timing.positive_width,
        timing.negative_width,
        timing.rise_time,
        timing.fall_time,
    ]
}
