//! Crossings, as a comparator reports them.

use crate::{Instant, Sample};

/// The direction in which a level is passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Slope {
    /// From below to at or over the level.
    Rising,
    /// From above to at or under the level.
    Falling,
}

impl Slope {
    /// Returns the other direction.
    #[inline]
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Rising => Self::Falling,
            Self::Falling => Self::Rising,
        }
    }
}

/// A crossing: the signal has changed sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Crossing {
    /// The slope that leads into the new side.
    pub slope: Slope,
    /// The instant of the crossing.
    pub at: Instant,
}

/// A crossing whose instant is computed only on demand, because that takes a division and many
/// conditions need only the position.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flip<T> {
    pub(crate) slope: Slope,
    pub(crate) position: u64,
    /// The sample at the crossing, and the sample before it, if known.
    pub(super) this: T,
    pub(super) previous: Option<T>,
    /// The level that the signal passes.
    pub(super) level: T,
}

impl<T: Sample> Flip<T> {
    #[inline]
    pub(crate) fn instant(self) -> Instant {
        let lead = self.previous.map_or(0, |previous| T::lead(previous, self.this, self.level));
        Instant { position: self.position, lead }
    }

    #[inline]
    pub(crate) fn crossing(self) -> Crossing {
        Crossing { slope: self.slope, at: self.instant() }
    }
}
