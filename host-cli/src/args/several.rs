//! Options of conditions on several channels, or made of others.

use clap::Args;

use super::from_one;
use super::line::{Line, Nothing, SideName, SlopeName, StateName};
use crate::error::Error;
use crate::quantity::Time;

/// What other channels do. A LINE is a channel from 1, with `:` and a word on what it does, and
/// with `@` and a level where that is not --level: 2, 2:falling, 3:high@1.65V.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger on several channels, or on one event after another")]
pub struct SeveralArgs {
    /// all but pattern, setup-hold, i2c, spi: the event must come while a channel is high or low,
    /// such as 2:high
    ///
    /// Only the event itself counts: the edges before it count whether or not the channel is so.
    ///
    /// A LINE is a channel number from 1, optionally with `:` and a state or slope, optionally with
    /// `@` and a level: 2, 2:falling, 3:high@1.65V. Without `@`, the level is --level.
    #[arg(long = "while", value_name = "LINE")]
    pub while_on: Option<Line<SideName>>,
    /// delay: edge that ends the time, such as 2:falling [default slope: rising]
    #[arg(long, value_name = "LINE")]
    pub to: Option<Line<SlopeName>>,
    /// count: edge to trigger on, counted from 1 after the start, --quiet or --since. sequence:
    /// --then edge to trigger on, counted from 1 [default for sequence: 1]
    #[arg(long, value_name = "N")]
    pub events: Option<u32>,
    /// count: start a new count at the first edge after this long without one
    #[arg(long, value_name = "TIME", conflicts_with = "since")]
    pub quiet: Option<Time>,
    /// count: start a new count at each edge of another channel, such as 2:falling [default slope:
    /// rising]
    #[arg(long, value_name = "LINE")]
    pub since: Option<Line<SlopeName>>,
    /// sequence: second edge, such as 2:falling [default slope: rising]
    #[arg(long, value_name = "LINE")]
    pub then: Option<Line<SlopeName>>,
    /// sequence: shortest time from the first to the second edge [default: none]
    #[arg(long, value_name = "TIME")]
    pub delay: Option<Time>,
    /// sequence: stop waiting for the second edge this long after the first [default: never]
    #[arg(long, value_name = "TIME")]
    pub timeout: Option<Time>,
    /// sequence: edge that restarts the sequence, such as 3:falling [default slope: rising]
    #[arg(long, value_name = "LINE")]
    pub reset: Option<Line<SlopeName>>,
    /// pattern: 1 to 16 channels, each high, low, rising, falling or either: 1:high,2:low@1V
    #[arg(long, value_name = "LINE,…", value_delimiter = ',')]
    pub lines: Vec<Line<StateName>>,
    /// setup-hold, i2c, spi: data channel, such as 2 or 2@1.65V
    #[arg(long, value_name = "LINE")]
    pub data: Option<Line<Nothing>>,
    /// setup-hold: time before a clock edge during which data must not change
    #[arg(long, value_name = "TIME")]
    pub setup_time: Option<Time>,
    /// setup-hold: time after a clock edge during which data must not change
    #[arg(long, value_name = "TIME")]
    pub hold_time: Option<Time>,
    /// spi: select channel and its active side, such as 3:low [default side: low]
    #[arg(long, value_name = "LINE")]
    pub select: Option<Line<SideName>>,
}

impl SeveralArgs {
    /// Those given, all of which some conditions have no use for.
    pub(super) fn given(&self) -> [(&'static str, bool); 14] {
        [
            ("--while", self.while_on.is_some()),
            ("--to", self.to.is_some()),
            ("--events", self.events.is_some()),
            ("--quiet", self.quiet.is_some()),
            ("--since", self.since.is_some()),
            ("--then", self.then.is_some()),
            ("--delay", self.delay.is_some()),
            ("--timeout", self.timeout.is_some()),
            ("--reset", self.reset.is_some()),
            ("--lines", !self.lines.is_empty()),
            ("--data", self.data.is_some()),
            ("--setup-time", self.setup_time.is_some()),
            ("--hold-time", self.hold_time.is_some()),
            ("--select", self.select.is_some()),
        ]
    }

    /// The channels named, counted from 0, in no order and perhaps more than once.
    ///
    /// # Errors
    /// Channel 0.
    pub(super) fn channels(&self) -> Result<Vec<usize>, Error> {
        let edges = [
            ("--to", self.to),
            ("--since", self.since),
            ("--then", self.then),
            ("--reset", self.reset),
        ];
        let sides = [("--while", self.while_on), ("--select", self.select)];
        let edges = edges.into_iter().filter_map(|(option, line)| Some((option, line?.channel)));
        let sides = sides.into_iter().filter_map(|(option, line)| Some((option, line?.channel)));
        let lines = self.lines.iter().map(|line| ("--lines", line.channel));
        let data = self.data.map(|line| ("--data", line.channel));
        let all = edges.chain(sides).chain(lines).chain(data);
        all.map(|(option, channel)| from_one(option, channel)).collect()
    }
}
