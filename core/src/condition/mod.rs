//! Trigger conditions turn crossings into events. One file each.
//!
//! A condition is asked for its next event until the block holds no more. Events therefore come in
//! order of position, however the condition is built, and several conditions can run side by side.

mod both;
mod catalogue;
mod comparison;
mod composition;
mod configuration;
mod count;
mod deadline;
mod delay;
mod dropout;
mod edge;
mod either;
mod event;
mod inputs;
mod interval;
mod lookahead;
mod never;
mod pair;
mod pattern;
mod pulse;
mod qualified;
mod relaxed;
mod runt;
mod sequence;
mod serial;
mod setup;
mod setup_hold;
mod sides;
mod thresholds;
mod timed;
mod transition;
mod video;
mod window;

pub use both::Both;
pub use comparison::Comparison;
pub use composition::{AnyComposition, AnyQualifiable, Composition, Qualifiable};
pub use configuration::Configuration;
pub use count::{Count, CountConfig, CountSince};
use deadline::Deadline;
pub use delay::{Delay, DelayConfig};
pub use dropout::{Dropout, DropoutConfig};
pub use edge::{Edge, EdgeConfig, EitherEdge};
pub use either::{EdgeSlope, PulsePolarity, Sided};
pub use event::{Event, EventKind};
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
pub use relaxed::Relaxed;
pub use runt::{Runt, RuntConfig};
pub use sequence::{Sequence, SequenceConfig, Wait};
pub use serial::{BitOrder, I2c, I2cConfig, I2cEvent, I2cWhen, Spi, SpiConfig, SpiFormat};
pub use serial::{Parity, Uart, UartConfig, UartEvent, UartFormat, UartWhen};
pub use setup::{AnyCondition, Setup};
pub use setup_hold::{SetupHold, SetupHoldConfig};
pub use sides::Side;
use thresholds::{Step, Thresholds};
pub use transition::{Transition, TransitionConfig};
pub use video::{Video, VideoConfig, VideoField, VideoFormat, VideoStandard, VideoWhen};
pub use window::{Stay, Window, WindowConfig, WindowEvent, WindowWhen};

use crate::{Block, Sample};

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
