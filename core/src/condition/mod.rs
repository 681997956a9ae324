//! Trigger conditions turn crossings into events. One file each, and here the lists of them.
//!
//! [`Setup`] has the conditions on the levels of one channel, apart from the others, which take much
//! more memory and code.
//!
//! A condition is asked for its next event until the block holds no more. Events therefore come in
//! order of position, however the condition is built, and several conditions can run side by side.

mod both;
mod catalogue;
mod comparison;
mod configuration;
mod count;
mod deadline;
mod delay;
mod dropout;
mod edge;
mod either;
mod event;
mod i2c;
mod inputs;
mod interval;
mod lines;
mod lookahead;
mod never;
mod pair;
mod pattern;
mod pulse;
mod qualified;
pub(crate) mod relaxed;
mod runt;
mod sequence;
mod setup_hold;
mod sides;
mod spi;
mod steady;
mod thresholds;
mod timed;
mod transition;
mod uart;
mod uart_format;
mod video;
mod window;

pub use both::Both;
use catalogue::catalogue;
pub use comparison::Comparison;
pub use configuration::Configuration;
use configuration::configuration;
pub use count::{Count, CountConfig, CountSince};
use deadline::Deadline;
pub use delay::{Delay, DelayConfig};
pub use dropout::{Dropout, DropoutConfig};
pub use edge::{Edge, EdgeConfig, EitherEdge};
pub use either::{EdgeSlope, OneOrBoth, PulsePolarity};
pub use event::{Event, EventKind};
pub use i2c::{I2c, I2cConfig, I2cEvent, I2cWhen};
pub use inputs::{Input, Inputs};
pub use interval::{Interval, IntervalConfig};
use lookahead::Lookahead;
pub use never::Never;
use pair::{Of, Pair, by_position};
pub use pattern::{
    LineState, PATTERN_LINES, Pattern, PatternConfig, PatternEvent, PatternLine, PatternWhen,
};
pub use pulse::{Polarity, Pulse, PulseConfig};
pub use qualified::{Qualified, QualifiedConfig};
use relaxed::Relaxed;
pub use runt::{Runt, RuntConfig};
pub use sequence::{Sequence, SequenceConfig, Wait};
pub use setup_hold::{SetupHold, SetupHoldConfig};
pub use sides::Side;
pub use spi::{BitOrder, Spi, SpiConfig, SpiFormat};
use thresholds::{Step, Thresholds};
pub use transition::{Transition, TransitionConfig};
pub use uart::{Uart, UartConfig, UartEvent, UartWhen};
pub use uart_format::{Parity, UartFormat};
pub use video::{Video, VideoConfig, VideoField, VideoFormat, VideoStandard, VideoWhen};
pub use window::{Stay, Window, WindowConfig, WindowEvent, WindowWhen};

use crate::{Block, ConfigError, Level, Sample, Slope};

catalogue! {
    /// The configuration of any condition on the levels of one channel.
    ///
    /// ```
    /// use stillwave::{EdgeConfig, EdgeSlope, Holdoff, Level, Setup, Trigger};
    /// let edge = EdgeConfig { slope: EdgeSlope::Either, level: Level::<u16>::new(2048, 40)? };
    /// let mut trigger = Trigger::new(Setup::Edge(edge).build()?, Holdoff::None)?;
    /// trigger.push(&[0, 4095, 0], |_| {});
    /// assert_eq!(trigger.events(), 2);
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    pub enum Setup;
    /// Any condition on the levels of one channel; [`Setup::build`] makes it.
    pub enum AnyCondition;
    at once: Edge Pulse Interval Dropout Transition Runt Window;
    Edge(EdgeConfig),
    Pulse(PulseConfig),
    Interval(IntervalConfig),
    Dropout(DropoutConfig),
    Transition(TransitionConfig),
    Runt(RuntConfig),
    Window(WindowConfig),
}

catalogue! {
    /// The configuration of any condition, including those made from other conditions.
    ///
    /// ```
    /// use stillwave::{Composition, EdgeConfig, EdgeSlope, Holdoff, Level, SequenceConfig, Trigger, Wait};
    /// let level = Level::<u16>::new(2048, 40)?;
    /// let edge = |slope| EdgeConfig { slope, level }.into();
    /// let there_and_back = Composition::Sequence(SequenceConfig {
    ///     first: edge(EdgeSlope::Rising),
    ///     then: edge(EdgeSlope::Falling),
    ///     wait: Wait { delay: 2, ..Wait::default() },
    ///     reset: None,
    /// });
    /// let mut trigger = Trigger::new(there_and_back.build()?, Holdoff::None)?;
    /// trigger.push(&[0, 4095, 0, 0, 4095, 4095, 4095, 0], |_| {});
    /// assert_eq!(trigger.events(), 1);
    /// # Ok::<(), stillwave::ConfigError>(())
    /// ```
    pub enum Composition;
    /// Any condition, including those made from other conditions; [`Composition::build`] makes it.
    pub enum AnyComposition;
    at once: Single;
    Single(Setup),
    Delay(DelayConfig),
    Count(CountConfig),
    Sequence(SequenceConfig),
    Pattern(PatternConfig),
    SetupHold(SetupHoldConfig),
    Qualified(QualifiedConfig),
    Uart(UartConfig),
    I2c(I2cConfig),
    Spi(SpiConfig),
    Video(VideoConfig),
}

impl<T: Sample> From<Qualifiable<T>> for Composition<T> {
    fn from(config: Qualifiable<T>) -> Self {
        match config {
            Qualifiable::Single(config) => Self::Single(config),
            Qualifiable::Delay(config) => Self::Delay(config),
            Qualifiable::Count(config) => Self::Count(config),
            Qualifiable::Sequence(config) => Self::Sequence(config),
            Qualifiable::Uart(config) => Self::Uart(config),
            Qualifiable::Video(config) => Self::Video(config),
        }
    }
}

catalogue! {
    /// The configuration of a condition that [`Qualified`] can gate: any that needs only one channel.
    pub enum Qualifiable;
    /// Any such condition; [`Qualifiable::build`] makes it.
    pub enum AnyQualifiable;
    at once: Single;
    Single(Setup),
    Delay(DelayConfig),
    Count(CountConfig),
    Sequence(SequenceConfig),
    Uart(UartConfig),
    Video(VideoConfig),
}

/// Finds events in a stream of samples.
///
/// A caller passes the blocks of a stream in order, calls [`next`](Self::next) on each until it
/// returns `None`, and reports lost samples by [`gap`](Self::gap); [`Trigger`](crate::Trigger) does
/// all three. Events come in order of position, each in the block that contains it, and do not
/// depend on how the stream is split into blocks.
///
/// A condition of your own, made from another one:
///
/// ```
/// use stillwave::{Block, Condition, Edge, Event, Holdoff, Level, Slope, Trigger};
/// /// Every second event of another condition.
/// struct Second<C> { of: C, odd: bool }
/// impl<C: Condition> Condition for Second<C> {
///     type Sample = C::Sample;
///     fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
///         while let Some(event) = self.of.next(block) {
///             self.odd = !self.odd;
///             if !self.odd {
///                 return Some(event);
///             }
///         }
///         None
///     }
///     fn gap(&mut self) {
///         self.of.gap();
///         self.odd = false;
///     }
///     fn reset(&mut self) {
///         self.of.reset();
///         self.odd = false;
///     }
/// }
/// let of = Edge::new(Slope::Rising, Level::<u8>::new(100, 10)?)?;
/// let mut trigger = Trigger::new(Second { of, odd: false }, Holdoff::None)?;
/// assert_eq!(trigger.count(&[0, 200, 0, 200, 0, 200, 0, 200]), 2);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
pub trait Condition {
    /// The type of the samples.
    type Sample: Sample;

    /// Returns the next event in `block`, or `None` when it holds no more.
    fn next(&mut self, block: &Block<'_, Self::Sample>) -> Option<Event>;

    /// Calls `f` for every event left in `block` whose position `accept` accepts. The result is
    /// that of calling [`next`](Self::next) to the end of the block; some conditions are faster at
    /// doing it all at once. `accept` is called once per event, in order.
    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, Self::Sample>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) where
        Self: Sized,
    {
        while let Some(event) = self.next(block) {
            if accept(event.at.position) {
                f(event);
            }
        }
    }

    /// Counts the events left in `block`. The result is that of calling [`next`](Self::next) to the
    /// end of the block; some conditions are faster at doing it all at once.
    #[inline]
    fn count(&mut self, block: &Block<'_, Self::Sample>) -> u64 {
        let mut count = 0;
        while self.next(block).is_some() {
            count += 1;
        }
        count
    }

    /// Reports that samples were lost here: anything in progress is discarded.
    fn gap(&mut self);

    /// Forgets the stream: the condition is as new.
    fn reset(&mut self);
}
