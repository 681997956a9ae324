//! Detection of the processor's vectors.

/// The processor's vectors, detected once and passed to the code that chooses loops by them.
#[cfg(vectors)]
#[derive(Clone, Copy, Debug)]
pub struct Vectors(pub(crate) fearless_simd::Level);

/// No vectors.
#[cfg(not(vectors))]
#[derive(Clone, Copy, Debug)]
pub struct Vectors;

impl Vectors {
    /// The widest vectors that may be used.
    pub(crate) fn find() -> Self {
        #[cfg(vectors)]
        {
            use fearless_simd::Level;
            Self(Level::try_detect().unwrap_or(Level::baseline()))
        }
        #[cfg(not(vectors))]
        Self
    }
}
