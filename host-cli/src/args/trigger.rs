//! Options that say what makes an event.

use clap::{Args, ValueEnum};

use crate::quantity::{Level, Span, Time};

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
    /// The level to pass: 1.65V or, in counts, 2048
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub level: Level,
    /// How far the signal must go back beyond the level before it can pass it again
    #[arg(long, value_name = "LEVEL", default_value = "0", allow_hyphen_values = true)]
    pub hysteresis: Level,
    /// edge: the direction [default: rising]
    #[arg(long)]
    pub slope: Option<SlopeName>,
    /// pulse: above or below the level [default: positive]
    #[arg(long)]
    pub polarity: Option<PolarityName>,
    /// pulse: widths below this
    #[arg(long, value_name = "TIME", group = "comparison")]
    pub shorter_than: Option<Time>,
    /// pulse: widths over this
    #[arg(long, value_name = "TIME", group = "comparison")]
    pub longer_than: Option<Time>,
    /// pulse: widths from T1 to T2, both included
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub within: Option<Span<Time>>,
    /// pulse: widths below T1 or over T2
    #[arg(long, value_name = "T1..T2", group = "comparison")]
    pub outside: Option<Span<Time>>,
    /// Accept no event for this long after an accepted one
    #[arg(long, value_name = "TIME", conflicts_with = "every")]
    pub holdoff: Option<Time>,
    /// Accept every n-th event only
    #[arg(long, value_name = "N")]
    pub every: Option<u32>,
}

/// The conditions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ConditionName {
    /// The signal passes the level
    Edge,
    /// A pulse of some width ends
    Pulse,
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
}
