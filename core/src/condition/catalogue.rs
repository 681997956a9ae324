//! The catalogue: any condition, chosen at run time.

use crate::{Band, Block, Both, Comparison, Condition, ConfigError, Dropout, Edge, EitherEdge};
use crate::{Event, Interval, Level, Polarity, Pulse, Runt, Sample, Slope, Transition};
use crate::{Window, WindowWhen};

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

/// Which pulses count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PulsePolarity {
    /// Upwards.
    #[default]
    Positive,
    /// Downwards.
    Negative,
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
        polarity: PulsePolarity,
        /// The level at which it begins.
        level: Level<T>,
        /// The widths that count.
        width: Comparison,
    },
    /// Two successive edges are some time apart: [`Interval`].
    Interval {
        /// The slope of the edges; either looks at each by itself.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
        /// The times that count.
        time: Comparison,
    },
    /// There is no edge for some time: [`Dropout`].
    Dropout {
        /// The slope of the edges.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
        /// The time, in samples.
        after: u64,
    },
    /// The signal goes from one level to another in some time: [`Transition`].
    Transition {
        /// In which direction.
        slope: EdgeSlope,
        /// The levels.
        band: Band<T>,
        /// The times that count.
        time: Comparison,
    },
    /// A pulse passes one level and does not reach another: [`Runt`].
    Runt {
        /// Whether it stands above or below its surroundings.
        polarity: PulsePolarity,
        /// The levels.
        band: Band<T>,
        /// The widths that count; all where there is none.
        width: Option<Comparison>,
    },
    /// The signal is inside or outside a band: [`Window`].
    Window {
        /// The band.
        band: Band<T>,
        /// What it does there.
        when: WindowWhen,
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
                let pulse = |polarity| Pulse::new(polarity, level, width);
                match polarity {
                    PulsePolarity::Positive => AnyCondition::Pulse(pulse(Polarity::Positive)?),
                    PulsePolarity::Negative => AnyCondition::Pulse(pulse(Polarity::Negative)?),
                    PulsePolarity::Either => AnyCondition::EitherPulse(Both::new(
                        pulse(Polarity::Positive)?,
                        pulse(Polarity::Negative)?,
                    )),
                }
            }
            Self::Interval { slope, level, time } => {
                let interval = |slope| Interval::new(slope, level, time);
                match one(slope) {
                    Some(slope) => AnyCondition::Interval(interval(slope)?),
                    None => AnyCondition::EitherInterval(Both::new(
                        interval(Slope::Rising)?,
                        interval(Slope::Falling)?,
                    )),
                }
            }
            Self::Dropout { slope, level, after } => match one(slope) {
                Some(slope) => {
                    AnyCondition::Dropout(Dropout::new(Edge::new(slope, level)?, after)?)
                }
                None => AnyCondition::EitherDropout(Dropout::new(EitherEdge::new(level)?, after)?),
            },
            Self::Transition { slope, band, time } => {
                let transition = |slope| Transition::new(slope, band, time);
                match one(slope) {
                    Some(slope) => AnyCondition::Transition(transition(slope)?),
                    None => AnyCondition::EitherTransition(Both::new(
                        transition(Slope::Rising)?,
                        transition(Slope::Falling)?,
                    )),
                }
            }
            Self::Runt { polarity, band, width } => {
                let runt = |polarity| Runt::new(polarity, band, width);
                match polarity {
                    PulsePolarity::Positive => AnyCondition::Runt(runt(Polarity::Positive)?),
                    PulsePolarity::Negative => AnyCondition::Runt(runt(Polarity::Negative)?),
                    PulsePolarity::Either => AnyCondition::EitherRunt(Both::new(
                        runt(Polarity::Positive)?,
                        runt(Polarity::Negative)?,
                    )),
                }
            }
            Self::Window { band, when } => AnyCondition::Window(Window::new(band, when)?),
        })
    }
}

/// The slope, where it is one.
fn one(slope: EdgeSlope) -> Option<Slope> {
    match slope {
        EdgeSlope::Rising => Some(Slope::Rising),
        EdgeSlope::Falling => Some(Slope::Falling),
        EdgeSlope::Either => None,
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
    /// A pulse of one polarity and some width ends.
    Pulse(Pulse<T>),
    /// A pulse of either polarity and some width ends.
    EitherPulse(Both<Pulse<T>>),
    /// Two successive edges of one slope are some time apart.
    Interval(Interval<T>),
    /// Two successive edges of the same slope are some time apart, whichever slope it is.
    EitherInterval(Both<Interval<T>>),
    /// There is no edge of one slope for some time.
    Dropout(Dropout<Edge<T>>),
    /// There is no edge at all for some time.
    EitherDropout(Dropout<EitherEdge<T>>),
    /// The signal goes from one level to another in one direction in some time.
    Transition(Transition<T>),
    /// The signal goes from one level to another in either direction in some time.
    EitherTransition(Both<Transition<T>>),
    /// A pulse of one polarity does not reach the second level.
    Runt(Runt<T>),
    /// A pulse of either polarity does not reach the second level.
    EitherRunt(Both<Runt<T>>),
    /// The signal is inside or outside a band.
    Window(Window<T>),
}

macro_rules! each {
    ($any:expr, $condition:ident => $body:expr) => {
        match $any {
            AnyCondition::Edge($condition) => $body,
            AnyCondition::EitherEdge($condition) => $body,
            AnyCondition::Pulse($condition) => $body,
            AnyCondition::EitherPulse($condition) => $body,
            AnyCondition::Interval($condition) => $body,
            AnyCondition::EitherInterval($condition) => $body,
            AnyCondition::Dropout($condition) => $body,
            AnyCondition::EitherDropout($condition) => $body,
            AnyCondition::Transition($condition) => $body,
            AnyCondition::EitherTransition($condition) => $body,
            AnyCondition::Runt($condition) => $body,
            AnyCondition::EitherRunt($condition) => $body,
            AnyCondition::Window($condition) => $body,
        }
    };
}

impl<T: Sample> Condition for AnyCondition<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        each!(self, condition => condition.next(block))
    }

    // On small processors room is scarcer than speed: a loop for each condition would be half of
    // the program.
    #[cfg(any(vectors, target_pointer_width = "64"))]
    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, T>,
        accept: impl FnMut(u64) -> bool,
        f: impl FnMut(Event),
    ) {
        each!(self, condition => condition.for_each(block, accept, f));
    }

    #[cfg(any(vectors, target_pointer_width = "64"))]
    #[inline]
    fn count(&mut self, block: &Block<'_, T>) -> u64 {
        each!(self, condition => condition.count(block))
    }

    fn gap(&mut self) {
        each!(self, condition => condition.gap());
    }

    fn reset(&mut self) {
        each!(self, condition => condition.reset());
    }
}
