//! Samples called for before they are looked at: some work takes so many instructions that a
//! processor does not get to the next ones by itself in time.

// Part of kernels that must become one function for each set of processor features.
#![allow(clippy::inline_always)]

/// How far ahead of what is looked at: less than a page, since calls that go further were found to
/// bring little.
#[cfg(vectors)]
const DISTANCE: usize = 3072;

/// The samples that far ahead of `from`.
#[cfg(vectors)]
#[inline(always)]
pub(crate) fn of<T>(samples: &[T], from: usize) -> &[T] {
    samples.get(from.saturating_add(DISTANCE / size_of::<T>())..).unwrap_or(&[])
}

/// None: where there are no vectors nothing is called for ahead.
#[cfg(not(vectors))]
#[inline(always)]
pub(crate) fn of<T>(_: &[T], _: usize) -> &[T] {
    &[]
}

/// Calls for the first `count` samples, or for fewer: of many, the first would be gone again when
/// their turn comes.
#[inline(always)]
pub(crate) fn call<T>(samples: &[T], count: usize) {
    #[cfg(all(vectors, target_arch = "x86_64"))]
    {
        const LINE: usize = 64;
        const MOST: usize = 4096;
        let samples = samples.get(..count.min(MOST / size_of::<T>())).unwrap_or(samples);
        samples.iter().step_by(LINE / size_of::<T>()).for_each(safe_arch::prefetch_t0);
    }
    #[cfg(not(all(vectors, target_arch = "x86_64")))]
    let _ = (samples, count);
}
