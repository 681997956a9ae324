//! Which vectors the processor has.

/// The processor's vectors, found once and carried to where loops are chosen by them.
#[cfg(vectors)]
#[derive(Clone, Copy, Debug)]
pub struct Vectors(pub(crate) fearless_simd::Level);

/// No vectors at all.
#[cfg(not(vectors))]
#[derive(Clone, Copy, Debug)]
pub struct Vectors;

impl Vectors {
    /// The widest that may be used.
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
