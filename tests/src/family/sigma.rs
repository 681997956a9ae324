//! How often measurements are within their own uncertainty.

use super::{Case, Class, Seeds};
use stillwave::measure::{Measurements, Meter, Uncertainty, Value};

/// The quantities that have a truth, in the order of [`errors_in_sigmas`].
pub const QUANTITIES: [&str; 6] = ["amplitude", "duty", "rise", "frequency", "mean", "AC RMS"];

/// The errors of a case over their uncertainties; `None` without a value or a truth.
pub fn errors_in_sigmas(
    case: &Case,
    found: &Measurements,
    sigma: &Uncertainty,
) -> [Option<f64>; 6] {
    let truth = &case.truth;
    let (timing, of_timing) = (&found.timing, &sigma.timing);
    let error = |value: Value, sigma: Value, truth: Option<f64>| {
        Some((value.ok()? - truth?).abs() / sigma.ok()?.max(1e-300))
    };
    [
        error(found.amplitude, sigma.amplitude, truth.amplitude.map(|(_, true_one)| true_one)),
        error(timing.duty, of_timing.duty, truth.duty),
        error(timing.rise_time, of_timing.rise_time, truth.rise),
        error(timing.frequency, of_timing.frequency, truth.frequency),
        error(found.mean, sigma.mean, truth.mean),
        error(found.ac_rms, sigma.ac_rms, truth.ac_rms),
    ]
}

/// Each class with the % of errors that lie within one uncertainty, by quantity; and all together.
pub fn within_one_sigma(seeds: Seeds, each: u64) -> (Vec<(Class, [f64; 6])>, [f64; 6]) {
    let meter = Meter::default();
    let (mut classes, mut all) = (Vec::new(), [(0_u64, 0_u64); 6]);
    let percent = |(within, known): (u64, u64)| 100.0 * within as f64 / known.max(1) as f64;
    for class in Class::ALL {
        let mut counts = [(0, 0); 6];
        for number in 0..each {
            let case = Case::new(seeds, class, number);
            let found = meter.measure(&case.samples);
            let sigma = meter.uncertainty(&case.samples, &found);
            for (count, error) in counts.iter_mut().zip(errors_in_sigmas(&case, &found, &sigma)) {
                if let Some(error) = error {
                    count.0 += u64::from(error <= 1.0);
                    count.1 += 1;
                }
            }
        }
        for (sum, count) in all.iter_mut().zip(counts) {
            *sum = (sum.0 + count.0, sum.1 + count.1);
        }
        classes.push((class, counts.map(percent)));
    }
    (classes, all.map(percent))
}
