//! Loops that become vectors.

use crate::Sample;
use crate::decimate::Extent;

/// Samples taken together: some vectors at once, as one waits for the last.
const LANES: usize = 64;

/// The extent of some samples.
#[inline(always)]
pub(super) fn extent<T: Sample + Ord>(samples: &[T]) -> Extent<T> {
    let (Some(first), Some(last)) = (samples.first_chunk::<LANES>(), samples.last_chunk::<LANES>())
    else {
        let (low, high) =
            samples.iter().fold((T::MAX, T::MIN), |(low, high), &x| (low.min(x), high.max(x)));
        return Extent { minimum: low, maximum: high };
    };
    let (mut low, mut high) = (*first, *first);
    let (chunks, _) = samples.as_chunks::<LANES>();
    // The last one again: twice the same sample is no matter.
    for chunk in chunks.iter().chain([last]) {
        for ((low, high), &x) in low.iter_mut().zip(&mut high).zip(chunk) {
            *low = x.min(*low);
            *high = x.max(*high);
        }
    }
    Extent {
        minimum: low.into_iter().fold(T::MAX, T::min),
        maximum: high.into_iter().fold(T::MIN, T::max),
    }
}

/// The sum of some samples.
#[inline(always)]
pub(super) fn sum<T: Copy, S: Copy + Default + core::ops::Add<Output = S>>(
    samples: &[T],
    wide: impl Fn(T) -> S,
) -> S {
    let mut lanes = [S::default(); LANES];
    let (chunks, rest) = samples.as_chunks::<LANES>();
    for chunk in chunks {
        lanes.iter_mut().zip(chunk).for_each(|(sum, &x)| *sum = *sum + wide(x));
    }
    let (chunks, rest) = rest.as_chunks::<8>();
    for chunk in chunks {
        lanes.iter_mut().zip(chunk).for_each(|(sum, &x)| *sum = *sum + wide(x));
    }
    lanes.iter_mut().zip(rest).for_each(|(sum, &x)| *sum = *sum + wide(x));
    lanes.into_iter().fold(S::default(), |a, b| a + b)
}
