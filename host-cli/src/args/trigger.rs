//! Options that say what makes an event.

use clap::{Args, ValueEnum};

use super::{ConditionName, SerialArgs, SetupArgs, SeveralArgs, VideoArgs, from_one};
use crate::error::Error;
use crate::quantity::{Frequency, Level, Span, Time};

/// What makes an event.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger")]
pub struct TriggerArgs {
    /// The condition
    #[arg(long, value_name = "CONDITION", default_value = "edge")]
    pub on: ConditionName,
    /// The channel to trigger on, from 1
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub channel: usize,
    /// The level to pass, 1.65V or, in counts, 2048
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub level: Option<Level>,
    /// transition, runt, window: the lower level
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub low: Option<Level>,
    /// transition, runt, window: the upper level
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub high: Option<Level>,
    /// How far the signal must go back beyond a level before it can pass it again
    #[arg(long, value_name = "LEVEL", default_value = "0", allow_hyphen_values = true)]
    pub hysteresis: Level,
    /// What of --channel reaches the trigger; records keep all of it
    #[arg(long, default_value = "dc")]
    pub coupling: CouplingName,
    /// ac, low-reject, high-reject: the frequency at which 1/√2 (−3 dB) passes, at most a quarter
    /// of the rate [default: 10Hz for ac]
    #[arg(long, value_name = "FREQUENCY")]
    pub corner: Option<Frequency>,
    /// edge, interval, dropout, transition, and the first edge of a delay, count or sequence: the
    /// direction; setup-hold, spi: the clock edge that counts [default: rising]
    #[arg(long)]
    pub slope: Option<SlopeName>,
    /// pulse, runt: above or below its surroundings, or either [default: positive];
    /// video: which way its pulses go [default: negative]
    #[arg(long)]
    pub polarity: Option<PolarityName>,
    /// window, pattern: what the signal does there; a pattern enters, leaves or stays
    #[arg(long)]
    pub when: Option<WhenName>,
    /// dropout: the time without an edge
    #[arg(long, value_name = "TIME")]
    pub after: Option<Time>,
    /// pulse, interval, transition, runt, window, delay, pattern: times below this
    #[arg(long, value_name = "TIME", group = "comparison", visible_alias = "faster-than")]
    pub shorter_than: Option<Time>,
    /// pulse, interval, transition, runt, window, delay, pattern, uart breaks: times over this
    #[arg(long, value_name = "TIME", group = "comparison", visible_alias = "slower-than")]
    pub longer_than: Option<Time>,
    /// pulse, interval, transition, runt, delay: times from T1 to T2, both included
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub within: Option<Span<Time>>,
    /// pulse, interval, transition, runt, delay: times below T1 or over T2
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub outside: Option<Span<Time>>,
    /// Accept no event for this long after an accepted one
    #[arg(long, value_name = "TIME", conflicts_with = "every")]
    pub holdoff: Option<Time>,
    /// Accept every n-th event only
    #[arg(long, value_name = "N")]
    pub every: Option<u32>,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub several: SeveralArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub serial: SerialArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub video: VideoArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub file: SetupArgs,
}

impl TriggerArgs {
    /// Those options given that not every condition takes.
    pub fn given(&self) -> impl Iterator<Item = &'static str> {
        [
            ("--level", self.level.is_some()),
            ("--low", self.low.is_some()),
            ("--high", self.high.is_some()),
            ("--slope", self.slope.is_some()),
            ("--polarity", self.polarity.is_some()),
            ("--when", self.when.is_some()),
            ("--after", self.after.is_some()),
            ("--shorter-than", self.shorter_than.is_some()),
            ("--longer-than", self.longer_than.is_some()),
            ("--within", self.within.is_some()),
            ("--outside", self.outside.is_some()),
        ]
        .into_iter()
        .chain(self.several.given())
        .chain(self.serial.given())
        .chain(self.video.given())
        .filter_map(|(option, given)| given.then_some(option))
    }

    /// The channels that the condition looks at, counted from 0, that to trigger on first.
    ///
    /// # Errors
    /// Channel 0.
    pub fn channels(&self) -> Result<Vec<usize>, Error> {
        let mut channels = vec![from_one("--channel", self.channel)?];
        for channel in self.several.channels()? {
            if !channels.contains(&channel) {
                channels.push(channel);
            }
        }
        Ok(channels)
    }
}

/// What of a signal reaches a trigger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CouplingName {
    /// All of it
    Dc,
    /// All but its mean, from --corner on; levels count from the mean
    Ac,
    /// What is above --corner, without drift and hum; levels count from the mean
    LowReject,
    /// What is below --corner, without noise and spikes
    HighReject,
    /// All of it, with twice the hysteresis, and a 32nd of the converter's range at least
    NoiseReject,
}

/// The directions of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SlopeName {
    /// Upwards
    Rising,
    /// Downwards
    Falling,
    /// Both
    Either,
}

/// The polarities of a pulse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PolarityName {
    /// Above the level
    Positive,
    /// Below the level
    Negative,
    /// Both
    Either,
}

/// What a signal does at a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WhenName {
    /// It comes in
    Enters,
    /// It goes out
    Leaves,
    /// It is inside for a time
    StaysInside,
    /// It is outside for a time
    StaysOutside,
    /// pattern: it is there for a time
    Stays,
}
