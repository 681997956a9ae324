//! The catalogue of conditions on one channel, for programs that choose one at run time.

use crate::{Band, Block, Both, Comparison, Condition, ConfigError, Dropout, Edge, EitherEdge};
use crate::{Event, Interval, Level, Polarity, Pulse, Runt, Sample, Slope, Transition};
use crate::{Window, WindowWhen};

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

/// The configuration of any condition on one channel.
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
    /// Fires when the signal passes a level: [`Edge`], [`EitherEdge`].
    Edge {
        /// The direction.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
    },
    /// Fires at the end of a pulse whose width counts: [`Pulse`].
    Pulse {
        /// Whether the pulse is above or below its surroundings.
        polarity: PulsePolarity,
        /// The level at which the pulse begins.
        level: Level<T>,
        /// The widths that count.
        width: Comparison,
    },
    /// Fires when the time between two successive edges counts: [`Interval`].
    Interval {
        /// The slope of the edges. With `Either`, rising and falling edges are timed separately.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
        /// The times that count.
        time: Comparison,
    },
    /// Fires when there is no edge for a time: [`Dropout`].
    Dropout {
        /// The slope of the edges.
        slope: EdgeSlope,
        /// The level.
        level: Level<T>,
        /// The time without an edge, in samples.
        after: u64,
    },
    /// Fires when the time the signal takes from one level to another counts: [`Transition`].
    Transition {
        /// The direction.
        slope: EdgeSlope,
        /// The two levels.
        band: Band<T>,
        /// The times that count.
        time: Comparison,
    },
    /// Fires at the end of a pulse that passes one level and does not reach another: [`Runt`].
    Runt {
        /// Whether the pulse is above or below its surroundings.
        polarity: PulsePolarity,
        /// The two levels.
        band: Band<T>,
        /// The widths that count; `None` for all widths.
        width: Option<Comparison>,
    },
    /// Fires when the signal enters or leaves a band, or stays inside or outside: [`Window`].
    Window {
        /// The band.
        band: Band<T>,
        /// What the signal has to do.
        when: WindowWhen,
    },
}

impl<T: Sample> Setup<T> {
    /// Makes the condition from this configuration.
    ///
    /// # Errors
    /// The errors of the condition's own constructor.
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

/// The slope, if only one slope counts.
fn one(slope: EdgeSlope) -> Option<Slope> {
    match slope {
        EdgeSlope::Rising => Some(Slope::Rising),
        EdgeSlope::Falling => Some(Slope::Falling),
        EdgeSlope::Either => None,
    }
}

/// Any condition on one channel; [`Setup::build`] makes it.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum AnyCondition<T: Sample> {
    /// The signal passes a level in one direction.
    Edge(Edge<T>),
    /// The signal passes a level in either direction.
    EitherEdge(EitherEdge<T>),
    /// A pulse of one polarity ends, and its width counts.
    Pulse(Pulse<T>),
    /// A pulse of either polarity ends, and its width counts.
    EitherPulse(Both<Pulse<T>>),
    /// The time between two successive edges of one slope counts.
    Interval(Interval<T>),
    /// The time between two successive edges of the same slope counts, for rising and for falling
    /// edges.
    EitherInterval(Both<Interval<T>>),
    /// There is no edge of one slope for a time.
    Dropout(Dropout<Edge<T>>),
    /// There is no edge of either slope for a time.
    EitherDropout(Dropout<EitherEdge<T>>),
    /// The time the signal takes from one level to another, in one direction, counts.
    Transition(Transition<T>),
    /// The time the signal takes from one level to another, in either direction, counts.
    EitherTransition(Both<Transition<T>>),
    /// A pulse of one polarity does not reach the second level.
    Runt(Runt<T>),
    /// A pulse of either polarity does not reach the second level.
    EitherRunt(Both<Runt<T>>),
    /// The signal enters or leaves a band, or stays inside or outside.
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
