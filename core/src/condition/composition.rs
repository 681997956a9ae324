//! The catalogue of conditions on several channels or made from other conditions, for programs that
//! choose one at run time. It is kept apart from the catalogue for one channel, which takes much
//! less memory and code.

use super::count::Begin;
use crate::{AnyCondition, Block, Comparison, Condition, ConfigError, Count, Delay, Event, Level};
use crate::{I2c, I2cWhen, Side, Span, Spi, SpiFormat, Uart, UartFormat, UartWhen, Wait};
use crate::{Pattern, PatternLine, PatternWhen, Qualified, Sample, Sequence, Setup, SetupHold};
use crate::{Video, VideoFormat, VideoWhen};

/// The largest number of channels in a pattern chosen at run time.
pub const PATTERN_LINES: usize = 16;

/// What starts a count.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
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
pub enum CountSince<T: Sample> {
    /// The start of the stream.
    #[default]
    Start,
    /// This many samples without an event.
    Quiet(u64),
    /// An event of another condition.
    Other(Setup<T>),
}

/// The configuration of any condition, including those made from other conditions.
///
/// ```
/// use stillwave::{Composition, EdgeSlope, Holdoff, Level, Setup, Trigger, Wait};
/// let level = Level::<u16>::new(2048, 40)?;
/// let edge = |slope| Setup::Edge { slope, level };
/// let there_and_back = Composition::Sequence {
///     first: edge(EdgeSlope::Rising),
///     then: edge(EdgeSlope::Falling),
///     wait: Wait { delay: 2, ..Wait::default() },
///     reset: None,
/// };
/// let mut trigger = Trigger::new(there_and_back.build()?, Holdoff::None)?;
/// trigger.push(&[0, 4095, 0, 0, 4095, 4095, 4095, 0], |_| {});
/// assert_eq!(trigger.events(), 1);
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
pub enum Composition<T: Sample> {
    /// Fires on the events of a condition on one channel.
    Single(Setup<T>),
    /// Fires when the time from one event to another counts: [`Delay`].
    Delay {
        /// The first event; the time runs from the latest one.
        from: Setup<T>,
        /// The second event; the time ends at the next one.
        to: Setup<T>,
        /// The times that count.
        time: Comparison,
    },
    /// Fires at the n-th event: [`Count`].
    Count {
        /// The condition whose events are counted.
        of: Setup<T>,
        /// The number n, from 1.
        events: u32,
        /// What starts the count.
        since: CountSince<T>,
    },
    /// Fires when one event comes after another: [`Sequence`].
    Sequence {
        /// The first event.
        first: Setup<T>,
        /// The second event, at which the sequence fires.
        then: Setup<T>,
        /// The delay, number of events and timeout between the two.
        wait: Wait,
        /// The event that must not come between the two.
        reset: Option<Setup<T>>,
    },
    /// Fires on a combination of states of several channels: [`Pattern`].
    Pattern {
        /// The channels; those that the pattern does not need are set to ignored.
        lines: [PatternLine<T>; PATTERN_LINES],
        /// Which part of the match fires.
        when: PatternWhen,
    },
    /// Fires when data changes too close to a clock edge: [`SetupHold`].
    SetupHold {
        /// The edges of the clock.
        clock: Setup<T>,
        /// The changes of the data.
        data: Setup<T>,
        /// The time before a clock edge in which data must not change; 0 for none.
        setup: Span,
        /// The time after a clock edge in which data must not change; 0 for none.
        hold: Span,
    },
    /// Fires on an event that comes while another channel is high or low: [`Qualified`].
    Qualified {
        /// The condition whose events count.
        of: Setup<T>,
        /// The other channel and its level.
        gate: Level<T>,
        /// The side that channel must be on.
        side: Side,
    },
    /// Fires on characters, errors and breaks of an asynchronous line: [`Uart`].
    Uart {
        /// The line.
        level: Level<T>,
        /// The format of the characters.
        format: UartFormat,
        /// Which of these fires.
        when: UartWhen,
    },
    /// Fires on starts, stops and bytes of an I²C bus: [`I2c`].
    I2c {
        /// The clock line.
        clock: Level<T>,
        /// The data line.
        data: Level<T>,
        /// Which of these fires.
        when: I2cWhen,
        /// Spikes up to this length are ignored.
        spikes: Span,
    },
    /// Fires when a word is sent on an SPI line: [`Spi`].
    Spi {
        /// The clock line.
        clock: Level<T>,
        /// The data line.
        data: Level<T>,
        /// The line that selects the device.
        select: Level<T>,
        /// The format of the words, and which words count.
        format: SpiFormat,
    },
    /// Fires at the start of a line or a field of a picture: [`Video`].
    Video {
        /// The picture signal. Set the level half way up its synchronising pulses.
        level: Level<T>,
        /// How the picture is scanned.
        format: VideoFormat,
        /// Which of these fires.
        when: VideoWhen,
    },
}

impl<T: Sample> Composition<T> {
    /// Makes the condition from this configuration.
    ///
    /// # Errors
    /// The errors of the conditions' own constructors.
    pub fn build(self) -> Result<AnyComposition<T>, ConfigError> {
        Ok(match self {
            Self::Single(setup) => AnyComposition::Single(setup.build()?),
            Self::Delay { from, to, time } => {
                AnyComposition::Delay(Delay::new(from.build()?, to.build()?, time)?)
            }
            Self::Count { of, events, since } => {
                let (begin, other) = match since {
                    CountSince::Start => (Begin::Start, None),
                    CountSince::Quiet(quiet) => (Begin::Quiet(quiet), None),
                    CountSince::Other(other) => (Begin::Other, Some(other.build()?)),
                };
                AnyComposition::Count(Count::counting(begin, other, of.build()?, events)?)
            }
            Self::Sequence { first, then, wait, reset } => {
                let (first, then) = (first.build()?, then.build()?);
                let reset = reset.map(Setup::build).transpose()?;
                AnyComposition::Sequence(Sequence::with_reset(first, then, reset, wait)?)
            }
            Self::Pattern { lines, when } => AnyComposition::Pattern(Pattern::new(lines, when)?),
            Self::SetupHold { clock, data, setup, hold } => {
                let (clock, data) = (clock.build()?, data.build()?);
                AnyComposition::SetupHold(SetupHold::new(clock, data, setup, hold))
            }
            Self::Qualified { of, gate, side } => {
                AnyComposition::Qualified(Qualified::new(of.build()?, gate, side)?)
            }
            Self::Uart { level, format, when } => {
                AnyComposition::Uart(Uart::new(level, format, when)?)
            }
            Self::I2c { clock, data, when, spikes } => {
                AnyComposition::I2c(I2c::new(clock, data, when)?.without_spikes(spikes))
            }
            Self::Spi { clock, data, select, format } => {
                AnyComposition::Spi(Spi::new(clock, data, select, format)?)
            }
            Self::Video { level, format, when } => {
                AnyComposition::Video(Video::new(level, format, when)?)
            }
        })
    }
}

impl<T: Sample> From<Setup<T>> for Composition<T> {
    fn from(setup: Setup<T>) -> Self {
        Self::Single(setup)
    }
}

/// Any condition, including those made from other conditions; [`Composition::build`] makes it.
#[derive(Clone, Debug)]
#[non_exhaustive]
// Without a heap there is nothing to box the large ones in.
#[allow(clippy::large_enum_variant)]
pub enum AnyComposition<T: Sample> {
    /// A condition on one channel.
    Single(AnyCondition<T>),
    /// The time from one event to another counts.
    Delay(Delay<AnyCondition<T>, AnyCondition<T>>),
    /// The n-th event.
    Count(Count<AnyCondition<T>, Option<AnyCondition<T>>>),
    /// One event comes after another.
    Sequence(Sequence<AnyCondition<T>, AnyCondition<T>, Option<AnyCondition<T>>>),
    /// A combination of states of several channels.
    Pattern(Pattern<T, PATTERN_LINES>),
    /// Data changes too close to a clock edge.
    SetupHold(SetupHold<AnyCondition<T>, AnyCondition<T>>),
    /// An event comes while another channel is high or low.
    Qualified(Qualified<AnyCondition<T>>),
    /// Characters, errors and breaks of an asynchronous line.
    Uart(Uart<T>),
    /// Starts, stops and bytes of an I²C bus.
    I2c(I2c<T>),
    /// A word is sent on an SPI line.
    Spi(Spi<T>),
    /// A line or a field of a picture begins.
    Video(Video<T>),
}

macro_rules! each {
    ($any:expr, $condition:ident => $body:expr) => {
        match $any {
            AnyComposition::Single($condition) => $body,
            AnyComposition::Delay($condition) => $body,
            AnyComposition::Count($condition) => $body,
            AnyComposition::Sequence($condition) => $body,
            AnyComposition::Pattern($condition) => $body,
            AnyComposition::SetupHold($condition) => $body,
            AnyComposition::Qualified($condition) => $body,
            AnyComposition::Uart($condition) => $body,
            AnyComposition::I2c($condition) => $body,
            AnyComposition::Spi($condition) => $body,
            AnyComposition::Video($condition) => $body,
        }
    };
}

impl<T: Sample> Condition for AnyComposition<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        each!(self, condition => condition.next(block))
    }

    // Those on one channel alone are much faster at once, and room is scarce on small processors.
    #[cfg(any(vectors, target_pointer_width = "64"))]
    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, T>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        if let Self::Single(condition) = self {
            return condition.for_each(block, accept, f);
        }
        while let Some(event) = self.next(block) {
            if accept(event.at.position) {
                f(event);
            }
        }
    }

    #[cfg(any(vectors, target_pointer_width = "64"))]
    #[inline]
    fn count(&mut self, block: &Block<'_, T>) -> u64 {
        if let Self::Single(condition) = self {
            return condition.count(block);
        }
        let mut count = 0;
        while self.next(block).is_some() {
            count += 1;
        }
        count
    }

    fn gap(&mut self) {
        each!(self, condition => condition.gap());
    }

    fn reset(&mut self) {
        each!(self, condition => condition.reset());
    }
}
