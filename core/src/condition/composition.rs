//! The second half of the catalogue: conditions on several channels or made of others, chosen at
//! run time. Apart from the first, which is much smaller in memory and code.

use super::count::Begin;
use crate::{AnyCondition, Block, Comparison, Condition, ConfigError, Count, Delay, Event, Level};
use crate::{I2c, I2cWhen, Side, Span, Spi, SpiFormat, Uart, UartFormat, UartWhen, Wait};
use crate::{Pattern, PatternLine, PatternWhen, Qualified, Sample, Sequence, Setup, SetupHold};
use crate::{Video, VideoFormat, VideoWhen};

/// The most channels of a pattern chosen at run time.
pub const PATTERN_LINES: usize = 16;

/// What begins a count.
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
    /// So many samples without an event.
    Quiet(u64),
    /// An event of another condition.
    Other(Setup<T>),
}

/// The configuration of any condition, those made of others included.
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
    /// One condition on one channel.
    Single(Setup<T>),
    /// One event comes some time after another: [`Delay`].
    Delay {
        /// From the latest event of this.
        from: Setup<T>,
        /// To the next event of this.
        to: Setup<T>,
        /// The times that count.
        time: Comparison,
    },
    /// An event is the n-th: [`Count`].
    Count {
        /// Of this condition.
        of: Setup<T>,
        /// n, from 1.
        events: u32,
        /// What begins the count.
        since: CountSince<T>,
    },
    /// One event comes after another: [`Sequence`].
    Sequence {
        /// The first.
        first: Setup<T>,
        /// The second, which fires.
        then: Setup<T>,
        /// What lies between.
        wait: Wait,
        /// What must not come between.
        reset: Option<Setup<T>>,
    },
    /// Several channels are as asked for: [`Pattern`].
    Pattern {
        /// The channels; those not needed are ignored.
        lines: [PatternLine<T>; PATTERN_LINES],
        /// What to wait for.
        when: PatternWhen,
    },
    /// Data changes too near a clock edge: [`SetupHold`].
    SetupHold {
        /// The clock's edges.
        clock: Setup<T>,
        /// The data's changes.
        data: Setup<T>,
        /// The time before a clock edge; 0 for none.
        setup: Span,
        /// The time after it; 0 for none.
        hold: Span,
    },
    /// An event comes while another channel is high or low: [`Qualified`].
    Qualified {
        /// An event of this.
        of: Setup<T>,
        /// The other channel, and its level.
        gate: Level<T>,
        /// What that channel must be.
        side: Side,
    },
    /// Something is said on an asynchronous line: [`Uart`].
    Uart {
        /// The line.
        level: Level<T>,
        /// How characters are sent.
        format: UartFormat,
        /// What to wait for.
        when: UartWhen,
    },
    /// Something is said on an I²C bus: [`I2c`].
    I2c {
        /// The clock line.
        clock: Level<T>,
        /// The data line.
        data: Level<T>,
        /// What to wait for.
        when: I2cWhen,
        /// Spikes up to this length are passed over.
        spikes: Span,
    },
    /// A word is sent on an SPI line: [`Spi`].
    Spi {
        /// The clock line.
        clock: Level<T>,
        /// The data line.
        data: Level<T>,
        /// The line that selects the device.
        select: Level<T>,
        /// How words are sent, and which count.
        format: SpiFormat,
    },
    /// A line or a field of a picture begins: [`Video`].
    Video {
        /// The picture signal; half way into its synchronising pulses.
        level: Level<T>,
        /// How the picture is scanned.
        format: VideoFormat,
        /// What to wait for.
        when: VideoWhen,
    },
}

impl<T: Sample> Composition<T> {
    /// The condition so configured.
    ///
    /// # Errors
    /// As the conditions' own constructors.
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

/// Any condition, those made of others included; made by [`Composition::build`].
#[derive(Clone, Debug)]
#[non_exhaustive]
// Without a heap there is nothing to box the large ones in.
#[allow(clippy::large_enum_variant)]
pub enum AnyComposition<T: Sample> {
    /// One condition on one channel.
    Single(AnyCondition<T>),
    /// One event comes some time after another.
    Delay(Delay<AnyCondition<T>, AnyCondition<T>>),
    /// An event is the n-th.
    Count(Count<AnyCondition<T>, Option<AnyCondition<T>>>),
    /// One event comes after another.
    Sequence(Sequence<AnyCondition<T>, AnyCondition<T>, Option<AnyCondition<T>>>),
    /// Several channels are as asked for.
    Pattern(Pattern<T, PATTERN_LINES>),
    /// Data changes too near a clock edge.
    SetupHold(SetupHold<AnyCondition<T>, AnyCondition<T>>),
    /// An event comes while another channel is high or low.
    Qualified(Qualified<AnyCondition<T>>),
    /// Something is said on an asynchronous line.
    Uart(Uart<T>),
    /// Something is said on an I²C bus.
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
