//! Which vectors the processor has.

/// The processor's vectors, found once and carried to where loops are chosen by them.
#[cfg(target_pointer_width = "64")]
#[derive(Clone, Copy, Debug)]
pub struct Vectors(pub(crate) fearless_simd::Level);

/// No vectors at all.
#[cfg(not(target_pointer_width = "64"))]
#[derive(Clone, Copy, Debug)]
pub struct Vectors;

impl Vectors {
    /// The widest that may be used.
    pub(crate) fn find() -> Self {
        #[cfg(target_pointer_width = "64")]
        {
            use fearless_simd::Level;
            Self(Level::try_detect().unwrap_or(Level::baseline()))
        }
        #[cfg(not(target_pointer_width = "64"))]
        Self
    }
}
