//! Prints the errors that measurements have on signals whose values are known on paper:
//!
//! ```text
//! cargo run -p stillwave-tests --example accuracy > docs/ACCURACY.md
//! ```

use std::f64::consts::{LN_2, SQRT_2, TAU};

use stillwave::Slope;
use stillwave::measure::{
    Config, Lissajous, Meter, SineFit, Spectrum, StateLevels, Window, measure,
};
use stillwave_tests::dice::Dice;
use stillwave_tests::family::{QUANTITIES, Score, Seeds, table, within_one_sigma};

/// Cases of a class, as in `tests/tests/measure_family.rs`.
const EACH: u64 = 1300;

fn main() {
    println!(
        "# Measurement errors\n\n\
         On computed signals whose values are known. Made by\n\
         `cargo run -p stillwave-tests --example accuracy > docs/ACCURACY.md`; the tests check the\n\
         bounds (`tests/tests/measure_*.rs`).\n"
    );
    family();
    println!(
        "## Single measurements\n\n\
         True values are textbook formulas (IEEE Std 1057 and 1241, from memory). Each signal is\n\
         measured at many phases between two samples; the table has the largest error.\n\n\
         | measurement | signal | largest error |\n|---|---|---|"
    );
    let row = |what: &str, signal: &str, error: String| println!("| {what} | {signal} | {error} |");
    let ppm = |error: f64| format!("{:.1} ppm", error * 1e6);
    let percent = |error: f64| format!("{:.2} %", error * 100.0);
    for (samples, name) in [(20.0, "20 samples a cycle"), (50.0, "50 samples a cycle")] {
        row("frequency", &format!("sine, {name}, 10 cycles, no noise"), ppm(frequency(samples)));
    }
    for rise in [5.0, 10.0, 20.0, 100.0] {
        row("rise time", &format!("RC step, {rise} samples a rise, 16 bits"), percent(rc(rise)));
    }
    let (amplitude, rise) = states_of_a_sine();
    row("amplitude (high − low state)", "sine, 50 samples a cycle, 10 cycles", percent(amplitude));
    row("rise time", "sine, 50 samples a cycle, 10 cycles", percent(rise));
    row("slew, settling", "RC step, 88 samples a rise", percent(settling()));
    row(
        "overshoot",
        "second order, ζ 0.2, 0.5, 0.7",
        format!("{:.3} % of amplitude", overshoot() * 100.0),
    );
    row(
        "RMS",
        "sine of whole cycles, 1000 samples",
        format!("{:.3} counts (1/√12 = 0.289)", rms()),
    );
    row(
        "jitter of a crossing",
        "sine in white noise of σ, a twelfth of a step",
        format!("{:.2} σ/slew, RMS", jitter()),
    );
    row("delay", "two sines, 80.7 samples a cycle", format!("{:.4} samples", delay()));
    row("phase by ellipse", "two sines, ±10° to ±170°", format!("{:.3}°", ellipse()));
    row("sine fit, amplitude", "4096 samples, amplitude 1500", format!("{:.4} counts", sine_fit()));
    for (cycles, what) in [(509.0, "whole cycles"), (508.37, "between bins")] {
        for bits in [8, 10, 12, 14, 16] {
            let signal = format!("ideal converter of {bits} bits, {what}");
            row("SNR by spectrum", &signal, format!("{:.2} dB", snr(bits, cycles)));
        }
    }
    row("THD by spectrum", "0.05 % to 58 %, between bins", percent(thd()));
}

/// A table of the signal family, a line a class.
fn family() {
    println!(
        "## Ordinary signals\n\n\
         {EACH} cases of each class: 0.9 to 200 cycles in 200 to 5000 samples (more where short\n\
         pulses need them); sampling locked to the signal in half of them; converters of 8 to 16 bits;\n\
         no noise in a quarter, else a standard deviation of 0.01 to 10 % of the amplitude. The\n\
         engine's constants were chosen on other cases.\n\n\
         Columns: % of the cases whose value is off by more than the limit, and of those that lack a\n\
         value which the record shows. Where a signal does not rest, its true high and low are its\n\
         peaks. In brackets: % of the cases that have a true value. None is counted where the samples\n\
         do not show it: noise hides the level (3 deviations of the mean of all samples within 3 % of\n\
         it are more than the limit), edges jump between samples that are too far apart for the limit,\n\
         or the record has no whole cycle (`tests/src/family/truth.rs`).\n\n\
         | signal | amplitude, 3 % | duty, 2 points | rise, 10 % | frequency, 1 % | no value |\n\
         |---|---|---|---|---|---|"
    );
    let scores = table(Seeds::Judged, EACH, measure::<u16>, |_, _, _| {});
    let row = |name: &str, score: &Score| {
        let [amplitude, duty, rise, frequency, missing] = score.percent();
        let known = score.known.map(|known| 100.0 * known as f64 / score.cases as f64);
        let cells =
            [amplitude, duty, rise, frequency]
                .iter()
                .zip(known)
                .map(|(wrong, known)| {
                    if known > 0.0 { format!("{wrong:.1} ({known:.0})") } else { "–".to_string() }
                })
                .collect::<Vec<_>>();
        println!("| {name} | {} | {missing:.1} |", cells.join(" | "));
    };
    for (class, score) in &scores {
        row(class.name(), score);
    }
    let all = scores.iter().fold(Score::default(), |all, (_, score)| all.and(score));
    row("**all**", &all);
    let (_, sigmas) = within_one_sigma(Seeds::Judged, EACH);
    let shares: Vec<String> = QUANTITIES
        .iter()
        .zip(sigmas)
        .map(|(quantity, share)| format!("{quantity} {share:.0} %"))
        .collect();
    println!(
        "\nErrors within one standard uncertainty, as `Meter::uncertainty` gives it (68 % of a normal\n\
         distribution): {}.\n",
        shares.join(", ")
    );
}

fn worst(errors: impl IntoIterator<Item = f64>) -> f64 {
    errors.into_iter().fold(0.0, |worst, error| worst.max(error.abs()))
}

/// `len` samples of a voltage of −1 to 1, by a converter of 16 bits.
fn sampled(len: usize, volts: impl Fn(f64) -> f64) -> Vec<i16> {
    (0..len).map(|i| (30_000.0 * volts(i as f64)).round() as i16).collect()
}

fn frequency(cycle: f64) -> f64 {
    worst((0..400).map(|step| {
        let period = cycle * (0.975 + 0.05 * f64::from(step) / 400.0) + 0.0013;
        let phase = f64::from(step) * 0.77;
        let samples = sampled((10.7 * period) as usize, |t| (TAU * t / period + phase).sin());
        measure(&samples).timing.frequency.unwrap() * period - 1.0
    }))
}

fn rc(rise: f64) -> f64 {
    let tau = rise / 9.0_f64.ln();
    worst((0..200).map(|phase| {
        let start = 30.0 * rise + f64::from(phase) / 200.0;
        let step = |t: f64| if t < start { -1.0 } else { 1.0 - 2.0 * (-(t - start) / tau).exp() };
        measure(&sampled((60.0 * rise) as usize, step)).timing.rise_time.unwrap() / rise - 1.0
    }))
}

/// A sine has no states: those found are its peaks.
fn states_of_a_sine() -> (f64, f64) {
    let found = (0..100).map(|phase| {
        let turn = |t: f64| TAU * (t / 50.0 + f64::from(phase) / 100.0);
        measure(&sampled(500, |t| turn(t).sin()))
    });
    // From 10 % to 90 %: from −0.8 to 0.8 of the peak.
    let rise = 50.0 * 2.0 * 0.8_f64.asin() / TAU;
    let rises = found.clone().map(|found| found.timing.rise_time.unwrap() / rise - 1.0);
    (worst(found.map(|found| found.amplitude.unwrap() / 60_000.0 - 1.0)), worst(rises))
}

fn settling() -> f64 {
    worst((0..100).flat_map(|phase| {
        let (tau, start) = (40.0, 300.0 + f64::from(phase) / 100.0);
        let step = |t: f64| if t < start { -0.8 } else { 0.8 - 1.6 * (-(t - start) / tau).exp() };
        let found = Meter::default().edge_shape(&sampled(2000, step), Slope::Rising);
        let slew = 0.8 * 1.6 * 30_000.0 / (tau * 9.0_f64.ln());
        [
            found.settling.unwrap() / (tau * (50.0_f64.ln() - LN_2)) - 1.0,
            found.slew_rate.unwrap() / slew - 1.0,
        ]
    }))
}

fn overshoot() -> f64 {
    worst([(0.2_f64, 0.52662), (0.5, 0.16303), (0.7, 0.04599)].into_iter().flat_map(
        |(zeta, expected)| {
            (0..20).map(move |phase| {
                let (root, start) = ((1.0 - zeta * zeta).sqrt(), 700.0 + f64::from(phase) / 20.0);
                let step = |t: f64| {
                    let t = (t - start) / 20.0;
                    let ring =
                        (-zeta * t).exp() * ((root * t).cos() + zeta / root * (root * t).sin());
                    if t < 0.0 { -0.5 } else { 0.4 - 0.9 * ring }
                };
                let found = Meter::default().edge_shape(&sampled(4000, step), Slope::Rising);
                found.overshoot.unwrap() - expected
            })
        },
    ))
}

fn rms() -> f64 {
    worst((1..100).map(|step| {
        let (amplitude, cycles) = (20.3 * f64::from(step), f64::from(1 + step % 17));
        let wave = |i: i32| (TAU * cycles * f64::from(i) / 1000.0 + f64::from(step)).sin();
        let samples: Vec<i16> = (0..1000).map(|i| (amplitude * wave(i)).round() as i16).collect();
        measure(&samples).rms.unwrap() - amplitude / SQRT_2
    }))
}

/// The RMS of what crossings are off, over what the noise of one sample alone would make of it: the
/// noise of neighbours averages out in part.
fn jitter() -> f64 {
    let (period, amplitude, sigma) = (100.37, 8000.0, 40.0);
    let mut dice = Dice::new(9);
    let mut noise = || {
        let sum: f64 = (0..12).map(|_| dice.bits() as f64 / u64::MAX as f64).sum();
        sigma * (sum - 6.0)
    };
    let samples: Vec<i16> = (0..400_000)
        .map(|i| (amplitude * (TAU * f64::from(i) / period).sin() + noise()).round() as i16)
        .collect();
    let (mut squares, mut count) = (0.0, 0.0);
    let levels = Some(StateLevels { low: -amplitude, high: amplitude });
    let meter = Meter::new(Config { levels, ..Config::default() }).unwrap();
    for transition in meter.transitions(&samples).unwrap() {
        let at = transition.mid.samples() / (period / 2.0);
        let off = (at - at.round()) * period / 2.0;
        squares += off * off;
        count += 1.0;
    }
    f64::sqrt(squares / count) / (sigma / (TAU * amplitude / period))
}

fn delay() -> f64 {
    worst((-40..=40).map(|step| {
        let lag = f64::from(step) * 0.97;
        let sine = |lag: f64| sampled(1000, |t| (TAU * (t - lag) / 80.7 + 0.3).sin());
        let found = Meter::default().delay(&sine(0.0), Slope::Rising, &sine(lag), Slope::Rising);
        found.delay.unwrap() - lag
    }))
}

fn ellipse() -> f64 {
    worst((-17..=17).filter(|step| *step != 0).map(|step| {
        let lag = f64::from(step) * 10.0;
        let sine = |lag: f64| sampled(1000, |t| (t * 0.0371 - lag.to_radians()).sin());
        Lissajous::of(&sine(0.0), &sine(lag)).unwrap().phase - lag
    }))
}

fn sine_fit() -> f64 {
    worst((0..20).map(|step| {
        let wave = |i: i32| (TAU * 0.0371 * f64::from(i) + f64::from(step)).cos();
        let samples: Vec<u16> =
            (0..4096).map(|i| (1500.0 * wave(i) + 2048.25).round() as u16).collect();
        SineFit::of(&samples).unwrap().amplitude - 1500.0
    }))
}

fn snr(bits: u32, cycles: f64) -> f64 {
    let half = f64::from(1_u32 << (bits - 1));
    let noise: f64 = (0..8)
        .map(|phase| {
            let start = 0.1 + 0.77 * f64::from(phase);
            let turn = |i: i32| TAU * cycles * f64::from(i) / 4096.0 + start;
            let samples: Vec<i32> =
                (0..4096).map(|i| ((half - 0.5) * turn(i).sin() - 0.5).round() as i32).collect();
            let mut buffer = [0.0; 4096];
            let spectrum = Spectrum::of(&samples, Window::BlackmanHarris, &mut buffer).unwrap();
            10.0_f64.powf(-spectrum.distortion().unwrap().snr.unwrap() / 10.0) / 8.0
        })
        .sum();
    (-10.0 * noise.log10() - (6.0206 * f64::from(bits) + 1.7609)).abs()
}

fn thd() -> f64 {
    let mixes: [&[f64]; 3] = [&[1.0, 0.1], &[0.9, 0.0, 0.00045], &[1.0, 0.5, 0.3]];
    worst(mixes.into_iter().flat_map(|mix| {
        let expected = mix[1..].iter().map(|a| a * a).sum::<f64>().sqrt() / mix[0];
        [61.0, 61.37, 200.5, 777.1, 1301.9].map(|cycles| {
            let wave = |i: i32| -> f64 {
                let turn = TAU * f64::from(i) * cycles / 4096.0;
                (1..).zip(mix).map(|(k, a)| a * (f64::from(k) * (turn + 0.3)).cos()).sum()
            };
            let samples: Vec<f32> = (0..4096).map(|i| wave(i) as f32).collect();
            let mut buffer = [0.0; 4096];
            let spectrum = Spectrum::of(&samples, Window::BlackmanHarris, &mut buffer).unwrap();
            spectrum.distortion().unwrap().thd.unwrap() / expected - 1.0
        })
    }))
}
