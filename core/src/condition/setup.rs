//! The catalogue of conditions on the levels of one channel. It is apart from the whole catalogue,
//! which takes much more memory and code.

use super::catalogue::catalogue;
use super::configuration::configuration;
use super::{Configuration, Relaxed};
use super::{DropoutConfig, EdgeConfig, IntervalConfig, PulseConfig};
use super::{RuntConfig, TransitionConfig, WindowConfig};
use crate::{Block, Condition, ConfigError, Event, Level, Sample, Slope};

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
