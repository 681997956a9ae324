//! Suggested settings, run through the engine: the trigger instants stand as still as was stated.
//!
//! Every signal is a closed form of time, so the instants at which it passes half its height are
//! known exactly; what the trigger finds is held against those. A constant distance is no
//! unsteadiness (a filter delays, noise fires early): the spread about the mean is what is stated.

use std::f64::consts::TAU;

use proptest::prelude::*;
use stillwave::suggest::{
    HysteresisReason, LevelReason, Means, Pattern, Proposal, Replay, SlopeReason, Suggestion,
    beside, suggest,
};
use stillwave::{Coupling, Edge, Holdoff, Input, Inputs, Sample, Slope, Trigger};
use stillwave_tests::dice::Dice;
use stillwave_tests::kind::Kind;
use stillwave_tests::signal::recipe;

/// A number of normal distribution (Box and Muller 1958; textbook).
fn normal(dice: &mut Dice) -> f64 {
    let mut uniform = || (dice.bits() >> 11) as f64 / 9_007_199_254_740_992.0;
    let (a, b) = (1.0 - uniform(), uniform());
    (-2.0 * a.ln()).sqrt() * (TAU * b).cos()
}

/// The signal of a form from 0 to 1, as a 12-bit converter takes it, in noise.
fn sampled(length: u64, noise: f64, seed: u64, form: impl Fn(f64) -> f64) -> Vec<u16> {
    let mut dice = Dice::new(seed);
    let mut code = |x: f64| (500.0 + 3000.0 * x + noise * normal(&mut dice)).round();
    (0..length).map(|i| code(form(i as f64)).clamp(0.0, 4095.0) as u16).collect()
}

fn suggested<T: Sample>(samples: &[T]) -> Suggestion<T> {
    let Ok(found) = suggest(&mut &samples[..], Means::default());
    found
}

fn proposed<T: Sample>(samples: &[T]) -> Proposal<T> {
    let found = suggested(samples);
    found.proposal.unwrap_or_else(|| panic!("{:?}", found.overview))
}

/// The events of a proposal, in samples.
fn events<T: Sample>(samples: &[T], proposal: &Proposal<T>) -> Vec<f64> {
    let edge = Edge::new(proposal.slope, proposal.level).unwrap();
    let input = match proposal.coupling {
        Coupling::Dc => Input::Channel(0),
        coupling => Input::Coupled { channel: 0, coupling },
    };
    let condition = Inputs::new(edge, [input]).unwrap();
    let mut trigger = Trigger::new(condition, proposal.holdoff).unwrap();
    let mut found = Vec::new();
    trigger.push(samples, |event| found.push(event.at.samples()));
    found
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn mean_square(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.map(|x| x * x).sum::<f64>() / count
}

/// Runs a proposal: an event for each true instant `first`, `first` + `period`, … but for `missed`
/// at either end, and none beside. Gives the spread of the distances from them, over what was
/// stated.
fn unsteadiness<T: Sample>(
    samples: &[T],
    proposal: &Proposal<T>,
    (first, period): (f64, f64),
    missed: usize,
) -> f64 {
    let found = events(samples, proposal);
    let distance = |event: &f64| {
        let periods = (event - first) / period;
        (periods - periods.round()) * period
    };
    let distances: Vec<f64> = found.iter().map(distance).collect();
    let mean = mean(&distances);
    let spread = mean_square(distances.iter().map(|x| x - mean)).sqrt();
    let stated = proposal.jitter.total();
    for distance in &distances {
        assert!((distance - mean).abs() < 6.0 * stated + 0.01, "{distance} {mean} {proposal:?}");
    }
    let due = (samples.len() as f64 / period) as usize;
    assert!(found.len() <= due + 1 && found.len() + missed >= due, "{} of {due}", found.len());
    spread / stated
}

/// What is stated is an upper bound where edges fall between samples, and close otherwise.
fn assert_steady(unsteadiness: f64) {
    assert!((0.6..1.15).contains(&unsteadiness), "{unsteadiness} of what was stated");
}

fn sine(period: f64) -> impl Fn(f64) -> f64 {
    move |t: f64| 0.5 + 0.5 * (TAU * t / period).sin()
}

/// A pulse that passes half its height at 0 and at `width`, with edges of `edge` samples.
fn pulse(t: f64, width: f64, edge: f64) -> f64 {
    let rise = |t: f64| (t / edge + 0.5).clamp(0.0, 1.0);
    rise(t) - rise(t - width)
}

#[test]
fn a_sine() {
    for period in [12.7, 83.7, 1003.1] {
        let samples = sampled(40_000, 3.0, 1, sine(period));
        let found = proposed(&samples);
        assert_eq!((found.coupling, found.holdoff), (Coupling::Dc, Holdoff::None));
        assert!((f64::from(found.level.level) - 2000.0).abs() < 30.0);
        // Two and a half periods, and half a one before.
        assert!((found.shape.len() as f64 / period - 3.0).abs() < 0.1 || period < 30.0);
        assert_steady(unsteadiness(&samples, &found, (0.0, period), 2));
    }
}

#[test]
fn a_square() {
    // Edges between two samples, anywhere there.
    let samples = sampled(40_000, 4.0, 2, |t| f64::from(t.rem_euclid(71.3) < 35.0));
    let found = proposed(&samples);
    assert_eq!((found.slope, found.holdoff), (Slope::Rising, Holdoff::None));
    assert_steady(unsteadiness(&samples, &found, (0.0, 71.3), 2));
    // Edges that the samples show.
    let samples =
        sampled(40_000, 20.0, 3, |t| pulse((t + 20.0).rem_euclid(90.3) - 20.0, 40.0, 4.0));
    let found = proposed(&samples);
    assert!((found.height - 4.0).abs() < 0.3, "{found:?}");
    assert_steady(unsteadiness(&samples, &found, (0.0, 90.3), 2));
}

#[test]
fn pulses_of_varying_width_by_the_edge_that_does_not_move() {
    let width = |t: f64| 100.0 + 80.0 * ((t / 200.37).floor() * 0.1).sin();
    let trailing = |t: f64| f64::from(t.rem_euclid(200.37) < width(t));
    let samples = sampled(60_000, 4.0, 4, trailing);
    let found = proposed(&samples);
    assert_eq!(found.slope, Slope::Rising);
    assert!(matches!(found.slope_reason, SlopeReason::Regular { .. }), "{found:?}");
    assert_steady(unsteadiness(&samples, &found, (0.0, 200.37), 2));
    let samples = sampled(60_000, 4.0, 5, |t| 1.0 - trailing(t));
    let found = proposed(&samples);
    assert_eq!(found.slope, Slope::Falling);
    assert_steady(unsteadiness(&samples, &found, (0.0, 200.37), 2));
}

#[test]
fn a_sine_in_strong_noise() {
    // 6 dB: the power of the sine, A²/2, is four times that of the noise. Both from the closed form.
    for (period, length) in [(25.3, 20_000), (120.3, 40_000), (1000.7, 100_000)] {
        for (decibels, seed) in [(6.0, 6), (10.0, 7), (15.0, 8)] {
            let amplitude = 750.0;
            let noise = amplitude / 2.0_f64.sqrt() / 10.0_f64.powf(decibels / 20.0);
            let half = sine(period);
            let samples = sampled(length, noise, seed, |t| 0.25 + 0.5 * half(t));
            let found = proposed(&samples);
            assert!(matches!(found.coupling, Coupling::HighReject(_)), "{found:?}");
            let Pattern::Even { period: read } = found.pattern else { panic!("{found:?}") };
            assert!((read / period - 1.0).abs() < 0.015, "{read}");
            // The filter's beginning may cost an event or two, and noise one in a hundred.
            let missed = 3 + (length as f64 / period / 100.0) as usize;
            assert_steady(unsteadiness(&samples, &found, (0.0, period), missed));
        }
    }
}

#[test]
fn strong_noise_without_filters_is_held_off() {
    let half = sine(60.3);
    let samples = sampled(40_000, 265.0, 9, |t| 0.25 + 0.5 * half(t));
    let Ok(found) = suggest(&mut &samples[..], Means { filters: false });
    let found = found.proposal.unwrap();
    assert_eq!(found.coupling, Coupling::Dc);
    assert_eq!(found.hysteresis_reason, HysteresisReason::Limited);
    let Holdoff::Samples(holdoff) = found.holdoff else { panic!("{found:?}") };
    assert!((15..60).contains(&holdoff), "{found:?}");
    let due = (40_000.0_f64 / 60.3) as usize;
    assert!(events(&samples, &found).len().abs_diff(due) <= due / 50);
}

#[test]
fn a_burst_by_its_first_pulse() {
    // Five pulses of 20 samples, 50 apart; the recording begins within a burst.
    let burst = |t: f64| {
        let at = (t + 490.0).rem_euclid(817.3) - 400.0;
        (0..5).map(|n| pulse(at - 50.0 * f64::from(n), 20.0, 4.0)).sum()
    };
    let samples = sampled(80_000, 4.0, 10, burst);
    let found = proposed(&samples);
    let Pattern::Bursts(bursts) = found.pattern else { panic!("{found:?}") };
    assert_eq!(bursts.edges, (5, 5));
    assert!((bursts.duration - 200.0).abs() < 1.0 && (bursts.repetition - 817.3).abs() < 0.1);
    let Holdoff::Samples(holdoff) = found.holdoff else { panic!("{found:?}") };
    assert!((201..817).contains(&holdoff));
    // The whole burst is in the record.
    assert!(found.shape.post > 220, "{found:?}");
    // The first pulses of bursts alone, once the cut one is past.
    let all = events(&samples, &found);
    let late =
        all.iter().filter(|at| ((*at + 90.0) % 817.3).min(817.3 - (*at + 90.0) % 817.3) > 1.0);
    assert!(late.count() <= 2, "{all:?}");
    let settled = &samples[2000..];
    let first = 3.0 * 817.3 - 90.0 - 2000.0;
    assert_steady(unsteadiness(settled, &found, (first, 817.3), 2).max(0.6));
}

#[test]
fn an_amplitude_modulated_tone_by_its_carrier() {
    for (depth, seed) in [(0.3, 11), (0.8, 12)] {
        let samples = sampled(80_000, 3.0, seed, |t| {
            let envelope = (1.0 + depth * (TAU * t / 2311.0).cos()) / (1.0 + depth);
            0.5 + 0.5 * envelope * (TAU * t / 41.7).sin()
        });
        let found = proposed(&samples);
        assert_eq!(found.holdoff, Holdoff::None);
        assert_steady(unsteadiness(&samples, &found, (0.0, 41.7), 2));
    }
}

#[test]
fn a_rare_pulse() {
    // Once in ten seconds at 100 kS/s.
    let mut errors = Vec::new();
    for seed in 20..40 {
        let at = 613_000.0 + seed as f64 / 20.0;
        let samples = sampled(1_000_000, 10.0, seed, |t| pulse(t - at, 120.0, 4.0));
        let found = proposed(&samples);
        assert_eq!((found.pattern, found.slope), (Pattern::Once, Slope::Rising));
        // All of the pulse is in the record.
        assert!(found.shape.post > 240 && found.shape.pre > 60, "{found:?}");
        let found_at = events(&samples, &found);
        assert_eq!(found_at.len(), 1);
        errors.push((found_at[0] - at) / found.jitter.total());
    }
    let error = mean_square(errors.into_iter()).sqrt();
    assert!((0.4..1.4).contains(&error), "{error}");
}

#[test]
fn negative_pulses_by_their_leading_edge() {
    let samples =
        sampled(40_000, 4.0, 13, |t| 1.0 - pulse((t + 20.0).rem_euclid(500.7) - 20.0, 40.0, 4.0));
    let found = proposed(&samples);
    assert_eq!((found.slope, found.slope_reason), (Slope::Falling, SlopeReason::Leading));
    assert_steady(unsteadiness(&samples, &found, (0.0, 500.7), 2));
}

#[test]
fn what_does_not_move_is_left_alone() {
    for (seed, noise) in [0.0, 0.2, 0.4, 0.7, 1.0, 5.0, 100.0].into_iter().enumerate() {
        for length in [1, 2, 5, 100, 3000, 300_000] {
            let samples = sampled(length, noise, seed as u64, |_| 0.51);
            assert_eq!(suggested(&samples).proposal, None, "{noise} {length}");
            let real: Vec<f32> = samples.iter().map(|&x| f32::from(x) / 4096.0).collect();
            // Of rounding, floating-point numbers say nothing.
            if noise == 0.0 || noise >= 1.0 {
                assert_eq!(suggested(&real).proposal, None, "{noise} {length}");
            }
        }
    }
    assert_eq!(suggested::<i16>(&[]).overview.samples, 0);
    assert_eq!(suggested(&[f32::NAN; 9]).overview.samples, 0);
}

#[test]
fn sample_types_agree() {
    let samples = sampled(20_000, 6.0, 14, sine(83.7));
    let of = proposed(&samples);
    let real: Vec<f32> = samples.iter().map(|&x| f32::from(x) / 4096.0).collect();
    let signed: Vec<i16> = samples.iter().map(|&x| (x as i16 - 2048) * 8).collect();
    let (real, signed) = (proposed(&real), proposed(&signed));
    for (level, hysteresis, jitter) in [
        (real.level.level * 4096.0, real.level.hysteresis * 4096.0, real.jitter),
        (
            signed.level.level as f32 / 8.0 + 2048.0,
            signed.level.hysteresis as f32 / 8.0,
            signed.jitter,
        ),
    ] {
        assert!((level - of.level.level as f32).abs() < 10.0, "{level} {of:?}");
        assert!((hysteresis - of.level.hysteresis as f32).abs() < 3.0, "{hysteresis} {of:?}");
        assert!((jitter.total() / of.jitter.total() - 1.0).abs() < 0.1);
    }
}

/// A signal that comes in blocks of many lengths.
struct Cut<'a, T>(&'a [T], u64);

impl<T: Sample> Replay<T> for Cut<'_, T> {
    type Error = std::convert::Infallible;

    fn replay(&mut self, mut each: impl FnMut(&[T])) -> Result<(), Self::Error> {
        let mut dice = Dice::new(self.1);
        let mut rest = self.0;
        while !rest.is_empty() {
            let (block, next) = rest.split_at(dice.below(200).min(rest.len() as u64) as usize);
            each(block);
            rest = next;
        }
        Ok(())
    }
}

macro_rules! cuts_do_not_matter {
    ($($name:ident, $sample:ty;)*) => {$(
        proptest! {
            #![proptest_config(ProptestConfig::with_cases(64))]
            #[test]
            fn $name(recipe in recipe(12, 400), seed in any::<u64>()) {
                let mut dice = Dice::new(seed);
                let (level, hysteresis) = (<$sample>::level(&mut dice), <$sample>::hysteresis(&mut dice));
                let samples: Vec<$sample> = recipe.samples(level, hysteresis);
                let Ok(whole) = suggest(&mut &samples[..], Means::default());
                let Ok(cut) = suggest(&mut Cut(&samples, seed), Means::default());
                prop_assert_eq!(whole, cut);
                if let Some(proposal) = whole.proposal {
                    let found = events(&samples, &proposal);
                    prop_assert_eq!(found.len() as u64, proposal.events);
                    prop_assert!(proposal.jitter.total() > 0.0);
                }
            }
        }
    )*};
}

cuts_do_not_matter! {
    cuts_of_u8, u8;
    cuts_of_i16, i16;
    cuts_of_u16, u16;
    cuts_of_f32, f32;
}

/// A sine that is nearly flat in its middle, as an amplifier without a quiescent current makes it.
#[test]
fn a_level_is_not_where_the_signal_lingers() {
    let mut steadier = 0;
    for flat in [0.03_f64, 0.06, 0.1, 0.15, 0.2, 0.3] {
        let mut dice = Dice::new(7);
        let wave = |turns: f64| {
            let x = (TAU * turns).sin();
            let lost = ((1.0 - flat) * 0.12).copysign(x);
            if x.abs() < 0.12 { flat * x } else { x - lost }
        };
        let mut code =
            |i: i32| 2000.0 + 1500.0 * wave(f64::from(i) / 500.0) + 3.0 * normal(&mut dice);
        let samples: Vec<u16> = (0..200_000).map(|i| code(i).round() as u16).collect();
        let proposal = proposed(&samples);
        let found = proposal.intervals.unwrap();
        assert!((found.mean - 500.0).abs() < 0.1, "{flat} {found:?}");
        // In its middle it would be 1 to 6 samples.
        assert!(found.deviation < 0.5, "{flat} {proposal:?}");
        steadier += u32::from(proposal.level_reason == LevelReason::Steadier);
    }
    assert!(steadier > 0);
}

#[test]
fn a_level_between_three_is_not_the_middle_one() {
    let mut dice = Dice::new(11);
    let bridge = |i: u32| match i % 400 {
        0..100 => 1.0,
        200..300 => -1.0,
        _ => 0.0,
    };
    let samples: Vec<u16> = (0..100_000)
        .map(|i| (2000.0 + 1200.0 * bridge(i) + 8.0 * normal(&mut dice)).round() as u16)
        .collect();
    let proposal = proposed(&samples);
    let found = proposal.intervals.unwrap();
    assert!((found.mean - 400.0).abs() < 0.1 && found.deviation < 1.0, "{proposal:?}");
}

/// A rotary encoder's contact, which bounces when it closes and when it opens, turned at a speed
/// that varies by 15 %.
#[test]
fn a_contact_that_bounces_is_seen_in_one_of_its_phases() {
    for seed in 1..=4 {
        let mut dice = Dice::new(seed);
        let mut uniform = |from: f64, to: f64| {
            from + (to - from) * (dice.bits() >> 11) as f64 / 9_007_199_254_740_992.0
        };
        let (mut samples, mut closed) = (vec![0_u16; 200], false);
        let mut turns = 0;
        while samples.len() < 400_000 {
            let mut at = samples.len() as f64;
            // Up to nine changes, each within 150 µs of the last, at 100 kS/s.
            for _ in 0..=2 * uniform(0.0, 4.999) as u32 {
                closed = !closed;
                let until = at + uniform(2.0, 15.0);
                samples.resize(until as usize, if closed { 3000 } else { 300 });
                at = until;
            }
            let speed = 1.0 + 0.15 * (TAU * at / 170_000.0).sin();
            let rest = (1000.0 / speed) as usize;
            samples.resize(samples.len() + rest, if closed { 3000 } else { 300 });
            turns += u32::from(closed);
        }
        let proposal = proposed(&samples);
        let found = events(&samples, &proposal).len() as f64;
        assert!((found - f64::from(turns)).abs() <= 2.0, "{found} of {turns}: {proposal:?}");
        let Pattern::Bursts(bursts) = proposal.pattern else { panic!("{proposal:?}") };
        assert!((bursts.repetition - 400_000.0 / f64::from(turns)).abs() < 20.0, "{bursts:?}");
    }
}

#[test]
fn what_was_found_is_the_spread_of_the_events() {
    // Every other period is 20 samples longer: even enough for a period, and uneven all the same.
    let edges = |i: u32| (i % 220 < 50) || (100..150).contains(&(i % 220));
    let samples: Vec<u16> = (0..110_000).map(|i| if edges(i) { 3000 } else { 500 }).collect();
    let proposal = proposed(&samples);
    let found = proposal.intervals.unwrap();
    assert!((found.mean - 110.0).abs() < 0.1 && (found.deviation - 10.0).abs() < 0.1, "{found:?}");
    assert!((found.shortest - 100.0).abs() < 0.1 && (found.longest - 120.0).abs() < 0.1);
    assert!(found.deviation > 10.0 * proposal.jitter.total());
}

/// 2500 cycles of ripple beside one glitch, 100 times as high.
#[test]
fn a_ripple_beside_a_glitch_is_told() {
    for amplitude in [12.0, 40.0] {
        let mut dice = Dice::new(3);
        let ripple = |i: u32| amplitude * (TAU * f64::from(i) / 80.0).sin();
        let samples: Vec<u16> = (0..200_000)
            .map(|i| {
                let glitch = if (70_000..70_006).contains(&i) { 2500.0 } else { 0.0 };
                (600.0 + glitch + ripple(i) + normal(&mut dice)).round() as u16
            })
            .collect();
        let proposal = proposed(&samples);
        assert_eq!(proposal.events, 1);
        let Ok(found) = beside(&mut &samples[..], &proposal);
        let found = found.unwrap_or_else(|| panic!("{amplitude}"));
        assert!((2490..=2510).contains(&found.edges), "{found:?}");
        assert!((f64::from(found.level.level) - 600.0).abs() < 0.5 * amplitude, "{found:?}");
        assert!(matches!(found.pattern, Pattern::Even { period } if (period - 80.0).abs() < 0.1));
    }
    // What the level meets, held off or not, is no other movement.
    let pulses = |i: u32| if i % 2000 < 320 && i % 20 < 5 { 3000 } else { 500 };
    let samples: Vec<u16> = (0..200_000).map(pulses).collect();
    let proposal = proposed(&samples);
    assert!(proposal.held_off > 1000, "{proposal:?}");
    let Ok(found) = beside(&mut &samples[..], &proposal);
    assert_eq!(found, None);
    // Noise alone is nothing to tell of.
    let mut dice = Dice::new(5);
    let samples: Vec<u16> = (0..100_000)
        .map(|i| if i == 50_000 { 3000 } else { (600.0 + 3.0 * normal(&mut dice)).round() as u16 })
        .collect();
    let Ok(found) = beside(&mut &samples[..], &proposed(&samples));
    assert_eq!(found, None);
}
