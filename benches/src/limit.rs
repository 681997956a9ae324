//! The most that any program could do: read every sample once, and write what it found.

use fearless_simd::{Level, Simd, dispatch};

use crate::sample::Bench;

/// Samples looked at together.
const CHUNK: usize = 256;

/// The largest sample, by the widest vectors in many strands: as fast as one core reads memory.
pub fn maximum<T: Bench>(samples: &[T]) -> T {
    let level = Level::try_detect().unwrap_or(Level::baseline());
    dispatch!(level, simd => maximum_by(simd, samples))
}

// To be compiled for each set of vectors.
#[allow(clippy::inline_always)]
#[inline(always)]
fn maximum_by<S: Simd, T: Bench>(_: S, samples: &[T]) -> T {
    let (chunks, rest) = samples.as_chunks::<CHUNK>();
    let mut lanes = [T::MIN; CHUNK];
    for (i, chunk) in chunks.iter().enumerate() {
        prefetch(chunks, i);
        for (lane, &x) in lanes.iter_mut().zip(chunk) {
            *lane = lane.larger(x);
        }
    }
    lanes.iter().chain(rest).fold(T::MIN, |a, &b| a.larger(b))
}

/// Calls for what is read a little later: from memory, a little faster still.
#[allow(clippy::inline_always)]
#[inline(always)]
fn prefetch<T>(chunks: &[[T; CHUNK]], at: usize) {
    #[cfg(target_arch = "x86_64")]
    if let Some(chunk) = chunks.get(at + 3072 / size_of::<[T; CHUNK]>()) {
        chunk.iter().step_by(64 / size_of::<T>()).for_each(safe_arch::prefetch_t0);
    }
    #[cfg(not(target_arch = "x86_64"))]
    let _ = (chunks, at);
}

/// Numbers one after the other: as fast as one core writes a list of positions.
pub fn fill(list: &mut [u64]) {
    for (i, place) in list.iter_mut().enumerate() {
        *place = i as u64;
    }
}
