//! The catalogue of all conditions, also those on several channels and those made from others.

use super::catalogue::catalogue;
use super::configuration::configuration;
use super::{Configuration, Relaxed, Setup};
use super::{CountConfig, DelayConfig, PatternConfig, QualifiedConfig, SequenceConfig};
use super::{I2cConfig, SetupHoldConfig, SpiConfig, UartConfig, VideoConfig};
use crate::{Block, Condition, ConfigError, Event, Level, Sample, Slope};

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
    /// The configuration of a condition whose events can be asked to come while another channel is
    /// high or low: any that can do with one channel.
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
