//! The search for one sample.

/// The first sample from `from` on that `hits`.
#[inline]
pub(in crate::compare) fn first<T: Copy>(
    samples: &[T],
    from: usize,
    hits: impl Fn(T) -> bool,
) -> Option<usize> {
    let left = samples.get(from..)?;
    let quiet = leading(left, &hits);
    let found = left.get(quiet..)?.iter().position(|&x| hits(x))?;
    Some(from + quiet + found)
}

/// How many samples at least come before the first that `hits`, found out without a branch a
/// sample: a few in turn, as it may be near; then so many together that wide vectors serve, then
/// fewer.
#[cfg(target_pointer_width = "64")]
#[inline]
fn leading<T: Copy>(samples: &[T], hits: impl Fn(T) -> bool) -> usize {
    const NEAR: usize = 16;
    if samples.iter().take(NEAR).any(|&x| hits(x)) {
        return 0;
    }
    let mut quiet = NEAR.min(samples.len());
    quiet += leading_chunks::<T, 256>(samples.get(quiet..).unwrap_or(&[]), &hits);
    quiet + leading_chunks::<T, 32>(samples.get(quiet..).unwrap_or(&[]), &hits)
}

#[cfg(target_pointer_width = "64")]
#[inline]
fn leading_chunks<T: Copy, const N: usize>(samples: &[T], hits: impl Fn(T) -> bool) -> usize {
    let (chunks, _) = samples.as_chunks::<N>();
    let hit = |chunk: &[T; N]| chunk.iter().fold(false, |any, &x| any | hits(x));
    N * chunks.iter().take_while(|chunk| !hit(chunk)).count()
}

/// Without vectors nothing is gained by looking twice.
#[cfg(not(target_pointer_width = "64"))]
#[inline]
fn leading<T: Copy>(_: &[T], _: impl Fn(T) -> bool) -> usize {
    0
}
