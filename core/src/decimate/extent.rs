//! The least and the largest of some samples.

use crate::Sample;

/// The least and the largest sample of a group. One of no finite sample is empty: its minimum lies
/// over its maximum.
///
/// ```
/// use stillwave::decimate::Extent;
/// let all = [3_i16, -7, 5].into_iter().fold(Extent::EMPTY, Extent::with);
/// assert_eq!((all.minimum, all.maximum), (-7, 5));
/// assert!(Extent::<f32>::EMPTY.with(f32::NAN).is_empty());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Extent<T> {
    /// The least.
    pub minimum: T,
    /// The largest.
    pub maximum: T,
}

impl<T: Sample> Extent<T> {
    /// That of no sample.
    pub const EMPTY: Self = Self { minimum: T::MAX, maximum: T::MIN };

    /// That of one more sample. One that is not finite changes nothing.
    #[inline]
    #[must_use]
    pub fn with(self, x: T) -> Self {
        if x.is_finite() { self.and(Self { minimum: x, maximum: x }) } else { self }
    }

    /// That of the samples of both.
    #[inline]
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            minimum: if other.minimum < self.minimum { other.minimum } else { self.minimum },
            maximum: if other.maximum > self.maximum { other.maximum } else { self.maximum },
        }
    }

    /// Whether no finite sample is in it.
    #[inline]
    pub fn is_empty(self) -> bool {
        self.minimum > self.maximum
    }
}

impl<T: Sample> Default for Extent<T> {
    fn default() -> Self {
        Self::EMPTY
    }
}
