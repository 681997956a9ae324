//! The smallest and the largest of some samples.

use crate::Sample;

/// The smallest and the largest sample of a group. A group without a finite sample is empty: its
/// minimum is above its maximum.
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
    /// The smallest sample.
    pub minimum: T,
    /// The largest sample.
    pub maximum: T,
}

impl<T: Sample> Extent<T> {
    /// The extent of no samples.
    pub const EMPTY: Self = Self { minimum: T::MAX, maximum: T::MIN };

    /// Returns the extent with one more sample. A sample that is not finite changes nothing.
    #[inline]
    #[must_use]
    pub fn with(self, x: T) -> Self {
        if x.is_finite() { self.and(Self { minimum: x, maximum: x }) } else { self }
    }

    /// Returns the extent of the samples of both.
    #[inline]
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            minimum: if other.minimum < self.minimum { other.minimum } else { self.minimum },
            maximum: if other.maximum > self.maximum { other.maximum } else { self.maximum },
        }
    }

    /// Whether it contains no finite sample.
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
