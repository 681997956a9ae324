//! The catalogue: any condition, chosen at run time.

use crate::{Block, Comparison, Condition, ConfigError, Edge, EitherEdge, Event};
use crate::{Level, Polarity, Pulse, Sample, Slope};

/// Which edges count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum EdgeSlope {
    /// Upwards.
    #[default]
    Rising,
    /// Downwards.
    Falling,
    /// Both.
    Either,
}

/// The configuration of any condition.
///
/// ```
/// use stillwave::{EdgeSlope, Holdoff, Level, Setup, Trigger};
/// let setup = Setup::Edge { slope: EdgeSlope::Either, level: Level::<u16>::new(2048, 40)? };
/// let mut trigger = Trigger::new(setup.build()?, Holdoff::None)?;
/// trigger.push(&[0, 4095, 0], |_| {});
/// assert_eq!(trigger.events(), 2);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(
    feature = "serde",
    serde(bound(
        serialize = "T::Wide: serde::Serialize",
        deserialize = "T::Wide: serde::Deserialize<'de>"
    ))
)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Setup<T: Sample> {
    /// The signal passes a level: [`Edge`], [`EitherEdge`].
    Edge {
        /// In which direction.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
    },
    /// A pulse of some width ends: [`Pulse`].
    Pulse {
        /// Whether it stands above or below its surroundings.
        polarity: Polarity,
        /// The level at which it begins.
        level: Level<T>,
        /// The widths that count.
        width: Comparison,
    },
}

impl<T: Sample> Setup<T> {
    /// The condition so configured.
    ///
    /// # Errors
    /// As the conditions' own constructors.
    pub fn build(self) -> Result<AnyCondition<T>, ConfigError> {
        Ok(match self {
            Self::Edge { slope: EdgeSlope::Rising, level } => {
                AnyCondition::Edge(Edge::new(Slope::Rising, level)?)
            }
            Self::Edge { slope: EdgeSlope::Falling, level } => {
                AnyCondition::Edge(Edge::new(Slope::Falling, level)?)
            }
            Self::Edge { slope: EdgeSlope::Either, level } => {
                AnyCondition::EitherEdge(EitherEdge::new(level)?)
            }
            Self::Pulse { polarity, level, width } => {
                AnyCondition::Pulse(Pulse::new(polarity, level, width)?)
            }
        })
    }
}

/// Any condition; made by [`Setup::build`].
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum AnyCondition<T: Sample> {
    /// The signal passes a level in one direction.
    Edge(Edge<T>),
    /// The signal passes a level in either direction.
    EitherEdge(EitherEdge<T>),
    /// A pulse of some width ends.
    Pulse(Pulse<T>),
}

macro_rules! each {
    ($any:expr, $condition:ident => $body:expr) => {
        match $any {
            AnyCondition::Edge($condition) => $body,
            AnyCondition::EitherEdge($condition) => $body,
            AnyCondition::Pulse($condition) => $body,
        }
    };
}

impl<T: Sample> Condition for AnyCondition<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        each!(self, condition => condition.next(block))
    }

    fn gap(&mut self) {
        each!(self, condition => condition.gap());
    }

    fn reset(&mut self) {
        each!(self, condition => condition.reset());
    }
}
