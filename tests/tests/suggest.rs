//! Suggested settings, run through the engine: the trigger instants stand as still as was stated.
//!
//! Every signal is a closed form of time, so the instants at which it passes half its height are
//! known exactly; what the trigger finds is held against those. A constant distance is no
//! unsteadiness (a filter delays, noise fires early): the spread about the mean is what is stated.

use std::f64::consts::TAU;

use stillwave::suggest::{Pattern, Proposal, suggest};
use stillwave::{
    Composition, Coupling, Edge, EdgeSlope, Holdoff, Input, Inputs, Sample, Setup, Slope, Trigger,
};
use stillwave_tests::dice::Dice;

/// A number of normal distribution (Box and Muller 1958; textbook).
fn normal(dice: &mut Dice) -> f64 {
    let mut uniform = || (dice.bits() >> 11) as f64 / 9_007_199_254_740_992.0;
    let (a, b) = (1.0 - uniform(), uniform());
    (-2.0 * a.ln()).sqrt() * (TAU * b).cos()
}

/// The signal of a form from 0 to 1, as a 12-bit converter takes it, in noise.
fn sampled(length: u64, noise: f64, seed: u64, form: impl Fn(f64) -> f64) -> Vec<u16> {
    let mut dice = Dice::new(seed);
    let mut noisy = |x: f64| (500.0 + 3000.0 * x + noise * normal(&mut dice)).round();
    (0..length).map(|i| noisy(form(i as f64)).clamp(0.0, 4095.0) as u16).collect()
}

fn proposed<T: Sample>(samples: &[T]) -> Proposal<T> {
    let Ok(found) = suggest(&mut &samples[..]);
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

/// How the events of a proposal lie to true instants: their distances from the nearest.
fn distances<T: Sample>(samples: &[T], proposal: &Proposal<T>, truth: &[f64]) -> Vec<f64> {
    let near = |event: &f64| {
        let distances = truth.iter().map(|truth| event - truth);
        distances.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap()
    };
    events(samples, proposal).iter().map(near).collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn spread(values: &[f64]) -> f64 {
    let mean = mean(values);
    mean_square(values.iter().map(|x| x - mean)).sqrt()
}

fn mean_square(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.map(|x| x * x).sum::<f64>() / count
}

#[test]
fn explore() {
    let show = |name: &str, s: &[u16], period: f64, at: f64| {
        let p = proposed(s);
        let truth: Vec<f64> =
            (0..(s.len() as f64 / period) as i64 + 2).map(|k| at + k as f64 * period).collect();
        let d = distances(s, &p, &truth);
        println!("{name}: {p:?}");
        println!(
            "   events {} of {}, mean {:.3} spread {:.4} stated {:.4}\n",
            d.len(),
            truth.len(),
            mean(&d),
            spread(&d),
            p.jitter.total()
        );
    };
    let sine = |period: f64| move |t: f64| 0.5 + 0.5 * (TAU * t / period).sin();
    show("sine", &sampled(20_000, 3.0, 1, sine(83.7)), 83.7, 0.0);
    let square = |t: f64| f64::from(t.rem_euclid(71.3) < 35.0);
    show("square", &sampled(20_000, 4.0, 2, square), 71.3, 0.0);
    let ramp = |t: f64, width: f64, period: f64| {
        let t = (t + 2.0).rem_euclid(period) - 2.0;
        ((t + 2.0) / 4.0).clamp(0.0, 1.0) - ((t - width + 2.0) / 4.0).clamp(0.0, 1.0)
    };
    show("square, ramps", &sampled(20_000, 20.0, 3, |t| ramp(t, 40.0, 90.3)), 90.3, 0.0);
    let pwm = |t: f64| {
        let (k, at) = ((t / 200.37).floor(), t.rem_euclid(200.37));
        f64::from(at < 100.0 + 80.0 * (k * 0.1).sin())
    };
    show("pwm", &sampled(40_000, 4.0, 4, pwm), 200.37, 0.0);
    let pwm = |t: f64| {
        let (k, at) = ((t / 200.37).floor(), t.rem_euclid(200.37));
        f64::from(at > 100.0 + 80.0 * (k * 0.1).sin())
    };
    show("pwm leading", &sampled(40_000, 4.0, 5, pwm), 200.37, 0.0);
    let burst = |t: f64| {
        let at = t.rem_euclid(817.3);
        f64::from(at < 250.0) * ramp(at - 10.0, 20.0, 50.0)
    };
    show("burst", &sampled(40_000, 4.0, 6, burst), 817.3, 10.0);
    let am = |m: f64| {
        move |t: f64| {
            0.5 + (1.0 + m * (TAU * t / 2311.0).cos()) / (1.0 + m) * 0.5 * (TAU * t / 41.7).sin()
        }
    };
    show("am 80", &sampled(40_000, 3.0, 7, am(0.8)), 41.7, 0.0);
    show("am 100", &sampled(40_000, 3.0, 8, am(1.0)), 41.7, 0.0);
    for (period, length) in [(25.3, 20_000), (120.3, 20_000), (1000.7, 60_000), (5003.0, 60_000)] {
        show(
            &format!("6 dB {period}"),
            &sampled(length, 1500.0 / 8.0f64.sqrt() / 2.0, 9, |t| 0.25 + 0.5 * sine(period)(t)),
            period,
            0.0,
        );
    }
    for (snr, noise) in [(20, 106.0), (15, 188.0), (10, 335.0)] {
        show(
            &format!("{snr} dB"),
            &sampled(20_000, noise / 2.0, 9, |t| 0.25 + 0.5 * sine(120.3)(t)),
            120.3,
            0.0,
        );
    }
    let rare = |t: f64| ramp(t - 613_000.3, 120.0, 2e6);
    show("rare", &sampled(1_000_000, 10.0, 10, rare), 1e9, 613_000.3);
}
