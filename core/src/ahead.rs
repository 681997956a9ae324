//! Software prefetch: some work takes so many instructions that a processor does not fetch the next
//! samples by itself in time.

// Part of kernels that must become one function for each set of processor features.
#![allow(clippy::inline_always)]

/// The prefetch distance in bytes. It is less than a page, because prefetching further ahead was
/// found to bring little.
#[cfg(vectors)]
const DISTANCE: usize = 3072;

/// The samples that are this distance ahead of `from`.
#[cfg(vectors)]
#[inline(always)]
pub(crate) fn of<T>(samples: &[T], from: usize) -> &[T] {
    samples.get(from.saturating_add(DISTANCE / size_of::<T>())..).unwrap_or(&[])
}

/// Returns no samples: without vectors there is no prefetch.
#[cfg(not(vectors))]
#[inline(always)]
pub(crate) fn of<T>(_: &[T], _: usize) -> &[T] {
    &[]
}

/// Prefetches the first `count` samples, or fewer: with many, the first would have left the cache
/// again when they are needed.
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
