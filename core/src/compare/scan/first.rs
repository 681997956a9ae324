//! The search for one sample.

/// Samples looked at together: long enough for wide vectors, short enough to waste little.
const CHUNK: usize = 256;

/// The first sample from `from` on that `hits`: whole chunks first, without a branch a sample.
#[inline]
pub(in crate::compare) fn first<T: Copy>(
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
