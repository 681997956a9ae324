//! The search for one sample, for processors with vectors.

/// How many samples come before the first that `hits`; all where there is none.
///
/// Found out without a branch a sample: a few in turn, as it may be near; then so many together
/// that wide vectors serve, then fewer.
#[inline]
pub(super) fn before<T: Copy>(samples: &[T], hits: impl Fn(T) -> bool) -> usize {
    const NEAR: usize = 16;
    let quiet = if samples.iter().take(NEAR).any(|&x| hits(x)) {
        0
    } else {
        let quiet = NEAR.min(samples.len());
        let quiet = quiet + chunks_before::<T, 256>(samples.get(quiet..).unwrap_or(&[]), &hits);
        quiet + chunks_before::<T, 32>(samples.get(quiet..).unwrap_or(&[]), &hits)
    };
    let rest = samples.get(quiet..).unwrap_or(&[]);
    quiet + rest.iter().position(|&x| hits(x)).unwrap_or(rest.len())
}

#[inline]
fn chunks_before<T: Copy, const N: usize>(samples: &[T], hits: impl Fn(T) -> bool) -> usize {
    let (chunks, _) = samples.as_chunks::<N>();
    let hit = |chunk: &[T; N]| chunk.iter().fold(false, |any, &x| any | hits(x));
    N * chunks.iter().take_while(|chunk| !hit(chunk)).count()
}
