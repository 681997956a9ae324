//! One direction, or both.

use crate::{Block, Both, Condition, ConfigError, Event, Polarity, Slope};

/// Which edges count: rising, falling or both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum EdgeSlope {
    /// Edges upwards.
    #[default]
    Rising,
    /// Edges downwards.
    Falling,
    /// Edges in both directions.
    Either,
}

impl EdgeSlope {
    /// The slope, if only one counts.
    pub fn one(self) -> Option<Slope> {
        match self {
            Self::Rising => Some(Slope::Rising),
            Self::Falling => Some(Slope::Falling),
            Self::Either => None,
        }
    }

    /// Calls `f` with each slope that counts.
    pub(super) fn each(self, mut f: impl FnMut(Slope)) {
        for slope in [Slope::Rising, Slope::Falling] {
            if self.one().is_none_or(|one| one == slope) {
                f(slope);
            }
        }
    }
}

/// Which pulses count: positive, negative or both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PulsePolarity {
    /// Pulses upwards.
    #[default]
    Positive,
    /// Pulses downwards.
    Negative,
    /// Pulses in both directions.
    Either,
}

impl PulsePolarity {
    /// The slope of the edge with which a pulse begins.
    pub fn begins(self) -> EdgeSlope {
        match self {
            Self::Positive => EdgeSlope::Rising,
            Self::Negative => EdgeSlope::Falling,
            Self::Either => EdgeSlope::Either,
        }
    }
}

/// A condition for one direction, or one for both.
#[derive(Clone, Debug)]
pub enum OneOrBoth<O, B = Both<O>> {
    /// For one direction.
    One(O),
    /// For both.
    Both(B),
}

impl<O: Condition> OneOrBoth<O> {
    /// Makes one condition, or one for each slope.
    pub(super) fn of_slope(
        slope: EdgeSlope,
        make: impl Fn(Slope) -> Result<O, ConfigError>,
    ) -> Result<Self, ConfigError> {
        Ok(match slope.one() {
            Some(slope) => Self::One(make(slope)?),
            None => Self::Both(Both::new(make(Slope::Rising)?, make(Slope::Falling)?)),
        })
    }

    /// Makes one condition, or one for each polarity.
    pub(super) fn of_polarity(
        polarity: PulsePolarity,
        make: impl Fn(Polarity) -> Result<O, ConfigError>,
    ) -> Result<Self, ConfigError> {
        Self::of_slope(polarity.begins(), |slope| {
            make(match slope {
                Slope::Rising => Polarity::Positive,
                Slope::Falling => Polarity::Negative,
            })
        })
    }
}

impl<O: Condition, B: Condition<Sample = O::Sample>> Condition for OneOrBoth<O, B> {
    type Sample = O::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, O::Sample>) -> Option<Event> {
        match self {
            Self::One(condition) => condition.next(block),
            Self::Both(condition) => condition.next(block),
        }
    }

    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, O::Sample>,
        accept: impl FnMut(u64) -> bool,
        f: impl FnMut(Event),
    ) {
        match self {
            Self::One(condition) => condition.for_each(block, accept, f),
            Self::Both(condition) => condition.for_each(block, accept, f),
        }
    }

    #[inline]
    fn count(&mut self, block: &Block<'_, O::Sample>) -> u64 {
        match self {
            Self::One(condition) => condition.count(block),
            Self::Both(condition) => condition.count(block),
        }
    }

    fn gap(&mut self) {
        match self {
            Self::One(condition) => condition.gap(),
            Self::Both(condition) => condition.gap(),
        }
    }

    fn reset(&mut self) {
        match self {
            Self::One(condition) => condition.reset(),
            Self::Both(condition) => condition.reset(),
        }
    }
}
