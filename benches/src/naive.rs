//! The loop one would write: a rising edge with hysteresis, sample by sample.

use crate::sample::Bench;

/// Gives the index of every rising edge.
#[inline]
pub fn for_each<T: Bench>(samples: &[T], mut f: impl FnMut(usize)) {
    let level = T::at_or_over(T::LEVEL).unwrap_or(T::MAX);
    let under = T::under(T::saturating_sub(T::LEVEL, T::HYSTERESIS)).unwrap_or(T::MIN);
    let mut armed = false;
    for (i, &x) in samples.iter().enumerate() {
        if armed {
            if x >= level {
                armed = false;
                f(i);
            }
        } else if x <= under {
            armed = true;
        }
    }
}

/// The number of rising edges.
#[inline]
pub fn count<T: Bench>(samples: &[T]) -> u64 {
    let mut count = 0;
    for_each(samples, |_| count += 1);
    count
}
