//! Samples that are not what the voltage was.

use super::Number;

/// Samples at or beyond an end code.
pub fn clipped<N: Number>(samples: &[N], lowest: N, highest: N) -> u64 {
    samples.iter().filter(|x| x.is_number() && (**x <= lowest || **x >= highest)).count() as u64
}

/// Samples that are not finite.
pub fn non_finite<N: Number>(samples: &[N]) -> u64 {
    samples.iter().filter(|x| !x.is_number()).count() as u64
}
