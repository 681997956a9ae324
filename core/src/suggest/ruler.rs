//! Samples of every type as whole numbers, counted from the smallest sample.

use crate::Sample;
use crate::sample::Number;

/// The number of steps that the range of floating-point samples is divided into.
const STEPS: f64 = 1_073_741_824.0;

/// Measures samples from the smallest one, so that one integer arithmetic serves all types: in
/// counts, or for floating point in 2^-30 of the range.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ruler<T> {
    minimum: T,
    /// The size of a step in the samples' own unit.
    step: f64,
}

impl<T: Sample> Ruler<T> {
    /// Makes a ruler for samples from a smallest to a largest.
    pub(super) fn new(minimum: T, maximum: T) -> Self {
        let step = match (minimum.number(), maximum.number()) {
            (Number::Real(low), Number::Real(high)) if high > low => (high - low) / STEPS,
            _ => 1.0,
        };
        Self { minimum, step }
    }

    /// The number of steps above the smallest sample.
    #[inline]
    pub(super) fn steps(&self, x: T) -> u32 {
        match (self.minimum.number(), x.number()) {
            (Number::Narrow(minimum), Number::Narrow(x)) => x.wrapping_sub(minimum) as u32,
            (Number::Wide(minimum), Number::Wide(x)) => x.wrapping_sub(minimum) as u32,
            // The cast saturates.
            (Number::Real(minimum), Number::Real(x)) => ((x - minimum) / self.step) as u32,
            _ => 0,
        }
    }

    /// A number of steps in the samples' own unit.
    pub(super) fn size(&self, steps: f64) -> f64 {
        steps * self.step
    }

    /// The value that lies this many steps above the smallest sample.
    pub(super) fn at(&self, steps: f64) -> f64 {
        T::wide_to_f64(self.minimum.widen()) + self.size(steps)
    }

    /// The step of one code: 0 for floating point, where it is not known.
    pub(super) fn code(&self) -> f64 {
        match self.minimum.number() {
            Number::Real(_) => 0.0,
            _ => 1.0,
        }
    }
}

/// Exact sums of steps for a mean and a variance.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Moments {
    count: u64,
    sum: u64,
    squares: u128,
}

impl Moments {
    #[inline]
    pub(super) fn add(&mut self, steps: u32) {
        self.count += 1;
        self.sum = self.sum.saturating_add(steps.into());
        self.squares += u128::from(u64::from(steps) * u64::from(steps));
    }

    /// The mean in steps.
    pub(super) fn mean(&self) -> f64 {
        if self.count == 0 { 0.0 } else { self.sum as f64 / self.count as f64 }
    }

    /// The variance in steps squared.
    pub(super) fn variance(&self) -> f64 {
        if self.count == 0 {
            return 0.0;
        }
        let count = self.count as f64;
        let (square, mean) = (u128::from(self.sum).checked_pow(2), self.mean());
        // n·Σx² − (Σx)² keeps every digit, as long as it fits.
        let exact = u128::from(self.count)
            .checked_mul(self.squares)
            .zip(square)
            .map(|(a, b)| a.saturating_sub(b) as f64 / count / count);
        exact.unwrap_or(self.squares as f64 / count - mean * mean).max(0.0)
    }
}
