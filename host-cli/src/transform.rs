//! Spectra of records of any length, in double precision.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};
use stillwave::Sample;
use stillwave::measure::{Reason, Spectrum, Statistics, Window};

/// Makes spectra, and keeps what it needs for the next of the same length.
pub struct Transformer {
    window: Window,
    planner: RealFftPlanner<f64>,
    plan: Option<Plan>,
    power: Vec<f64>,
}

/// What depends on the number of samples.
struct Plan {
    transform: Arc<dyn RealToComplex<f64>>,
    weights: Vec<f64>,
    input: Vec<f64>,
    output: Vec<Complex<f64>>,
    scratch: Vec<Complex<f64>>,
}

impl Transformer {
    /// A transformer of samples weighed by a window.
    pub fn new(window: Window) -> Self {
        Self { window, planner: RealFftPlanner::new(), plan: None, power: Vec::new() }
    }

    /// The spectrum of a whole record.
    ///
    /// # Errors
    /// As [`Statistics::of`] and [`Spectrum::new`].
    pub fn spectrum<T: Sample>(&mut self, samples: &[T]) -> Result<Spectrum<'_>, Reason> {
        let mean = Statistics::of(samples)?.mean;
        let count = samples.len();
        if self.plan.as_ref().is_none_or(|plan| plan.input.len() != count) {
            let transform = self.planner.plan_fft_forward(count);
            self.plan = Some(Plan {
                weights: (0..count).map(|index| self.window.weight(index, count)).collect(),
                input: transform.make_input_vec(),
                output: transform.make_output_vec(),
                scratch: transform.make_scratch_vec(),
                transform,
            });
        }
        let plan = self.plan.as_mut().ok_or(Reason::TooShort)?;
        for ((place, &x), weight) in plan.input.iter_mut().zip(samples).zip(&plan.weights) {
            *place = (T::wide_to_f64(x.widen()) - mean) * weight;
        }
        // Of what is not whole cycles, the mean as it is weighed.
        let weighed = plan.input.iter().sum::<f64>() / plan.weights.iter().sum::<f64>();
        plan.input.iter_mut().zip(&plan.weights).for_each(|(x, weight)| *x -= weighed * weight);
        plan.transform
            .process_with_scratch(&mut plan.input, &mut plan.output, &mut plan.scratch)
            .map_err(|_| Reason::TooShort)?;
        let whole = 1.0 / (count as f64 * self.window.square_sum(count));
        self.power.clear();
        self.power.extend(plan.output.iter().enumerate().map(|(bin, value)| {
            // The first, and the last of an even number, are their own mirror images.
            let is_single = bin == 0 || 2 * bin == count;
            if is_single { whole * value.norm_sqr() } else { 2.0 * whole * value.norm_sqr() }
        }));
        Spectrum::new(&self.power, count, self.window)
    }
}
