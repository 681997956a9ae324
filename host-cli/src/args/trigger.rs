//! Options that say what makes an event.

use clap::{Args, ValueEnum};

use super::{ConditionName, SerialArgs, SetupArgs, SeveralArgs, SlopeName, VideoArgs, from_one};
use crate::error::Error;
use crate::quantity::{Frequency, Level, Span, Time};

/// What makes an event.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger")]
pub struct TriggerArgs {
    /// Condition that makes an event
    ///
    /// A time or a width matches if it satisfies --shorter-than, --longer-than, --within or
    /// --outside.
    #[arg(long, value_name = "CONDITION", default_value = "edge")]
    pub on: ConditionName,
    /// Channel to trigger on, from 1
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub channel: usize,
    /// Level to cross: 1.65V or, in counts, 2048
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub level: Option<Level>,
    /// transition, runt, window: lower level
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub low: Option<Level>,
    /// transition, runt, window: upper level
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub high: Option<Level>,
    /// How far the signal must go back beyond a level before it can cross it again: 50mV or, in
    /// counts, 40
    #[arg(long, value_name = "LEVEL", default_value = "0", allow_hyphen_values = true)]
    pub hysteresis: Level,
    /// Input coupling of the trigger. Records stay unfiltered
    #[arg(long, default_value = "dc")]
    pub coupling: CouplingName,
    /// ac, low-reject, high-reject: corner frequency (−3 dB), at most a quarter of the sample rate
    /// [default: 10Hz for ac]
    #[arg(long, value_name = "FREQUENCY")]
    pub corner: Option<Frequency>,
    /// edge, interval, dropout, transition, count: slope of the edges. delay, sequence: slope of
    /// the first edge. setup-hold, spi: active clock edge [default: rising]
    #[arg(long)]
    pub slope: Option<SlopeName>,
    /// pulse, runt: polarity of the pulses [default: positive]. video: polarity of the sync pulses
    /// [default: negative]
    #[arg(long)]
    pub polarity: Option<PolarityName>,
    /// window: what the signal does. pattern: enters, leaves or stays [default: enters for pattern]
    #[arg(long)]
    pub when: Option<WhenName>,
    /// dropout: trigger after this long without an edge
    #[arg(long, value_name = "TIME")]
    pub after: Option<Time>,
    /// pulse, interval, transition, runt, window, delay, pattern: trigger on times shorter than
    /// this
    #[arg(long, value_name = "TIME", group = "comparison", visible_alias = "faster-than")]
    pub shorter_than: Option<Time>,
    /// pulse, interval, transition, runt, window, delay, pattern, uart breaks: trigger on times
    /// longer than this
    #[arg(long, value_name = "TIME", group = "comparison", visible_alias = "slower-than")]
    pub longer_than: Option<Time>,
    /// pulse, interval, transition, runt, delay: trigger on times from T1 to T2 (inclusive)
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub within: Option<Span<Time>>,
    /// pulse, interval, transition, runt, delay: trigger on times shorter than T1 or longer than T2
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub outside: Option<Span<Time>>,
    /// Ignore further events for this long after an accepted event
    #[arg(long, value_name = "TIME", conflicts_with = "every")]
    pub holdoff: Option<Time>,
    /// Accept only every Nth event
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
    /// No filter
    Dc,
    /// High-pass filter at --corner: removes the mean. Levels are relative to the mean
    Ac,
    /// High-pass filter at --corner: removes drift and hum. Levels are relative to the mean
    LowReject,
    /// Low-pass filter at --corner: removes noise and spikes
    HighReject,
    /// No filter, but twice the hysteresis, and at least 1/32 of the converter's range
    NoiseReject,
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
    /// Comes in
    Enters,
    /// Goes out
    Leaves,
    /// window: is inside for --longer-than or --shorter-than
    StaysInside,
    /// window: is outside for --longer-than or --shorter-than
    StaysOutside,
    /// pattern: lasts for --longer-than or --shorter-than
    Stays,
}
