//! The search for the first sample beyond a bound.

use crate::Sample;

/// Samples looked at together: long enough for wide vectors, short enough to waste little.
const CHUNK: usize = 256;

/// The first sample from `from` on that is at or over `bound`.
#[inline]
pub(super) fn first_over<T: Sample>(samples: &[T], from: usize, bound: T) -> Option<usize> {
    first(samples, from, |x| (x >= bound) & (x <= T::MAX))
}

/// The first sample from `from` on that is at or under `bound`.
#[inline]
pub(super) fn first_under<T: Sample>(samples: &[T], from: usize, bound: T) -> Option<usize> {
    first(samples, from, |x| (x <= bound) & (x >= T::MIN))
}

/// The first sample from `from` on that is at or under `low`, or at or over `high`.
#[inline]
pub(super) fn first_beyond<T: Sample>(
    samples: &[T],
    from: usize,
    low: T,
    high: T,
) -> Option<usize> {
    first(samples, from, |x| ((x <= low) | (x >= high)) & x.is_finite())
}

/// The first sample from `from` on that `hits`: whole chunks first, without a branch a sample.
#[inline]
pub(super) fn first<T: Sample>(
    samples: &[T],
    from: usize,
    hits: impl Fn(T) -> bool,
) -> Option<usize> {
    let rest = samples.get(from..)?;
    let (chunks, _) = rest.as_chunks::<CHUNK>();
    let quiet =
        chunks.iter().take_while(|c| !c.iter().fold(false, |any, &x| any | hits(x))).count();
    let start = quiet * CHUNK;
    let found = rest.get(start..)?.iter().position(|&x| hits(x))?;
    Some(from + start + found)
}
