//! Options of conditions on several channels, or made of others.

use clap::Args;

use super::line::{Line, Nothing, SideName, StateName};
use super::{SlopeName, from_one};
use crate::error::Error;
use crate::quantity::Time;

/// What other channels do. A LINE is a channel from 1, with `:` and a word on what it does, and
/// with `@` and a level where that is not --level: 2, 2:falling, 3:high@1.65V.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger on several channels, or on one event after another")]
pub struct SeveralArgs {
    /// edge, pulse, interval, dropout, transition, runt, window: only while a channel is high or low; a
    /// LINE such as 2:high@1.65V
    #[arg(long = "while", value_name = "LINE")]
    pub while_on: Option<Line<SideName>>,
    /// delay: the edge to which the time runs
    #[arg(long, value_name = "LINE")]
    pub to: Option<Line<SlopeName>>,
    /// count: which edge since the beginning; sequence: which of the second edges [default: 1]
    #[arg(long, value_name = "N")]
    pub events: Option<u32>,
    /// count: a beginning after so long without an edge
    #[arg(long, value_name = "TIME", conflicts_with = "since")]
    pub quiet: Option<Time>,
    /// count: a beginning at each edge of another channel
    #[arg(long, value_name = "LINE")]
    pub since: Option<Line<SlopeName>>,
    /// sequence: the second edge
    #[arg(long, value_name = "LINE")]
    pub then: Option<Line<SlopeName>>,
    /// sequence: how long after the first edge the second must come at least
    #[arg(long, value_name = "TIME")]
    pub delay: Option<Time>,
    /// sequence: how long after the first edge it is too late for the second
    #[arg(long, value_name = "TIME")]
    pub timeout: Option<Time>,
    /// sequence: an edge that must not come between
    #[arg(long, value_name = "LINE")]
    pub reset: Option<Line<SlopeName>>,
    /// pattern: the channels, each high, low, rising, falling or either: 1:high,2:low@1V
    #[arg(long, value_name = "LINE,…", value_delimiter = ',')]
    pub lines: Vec<Line<StateName>>,
    /// setup-hold, i2c, spi: the data channel
    #[arg(long, value_name = "LINE")]
    pub data: Option<Line<Nothing>>,
    /// setup-hold: how long before a clock edge data must not change
    #[arg(long, value_name = "TIME")]
    pub setup_time: Option<Time>,
    /// setup-hold: how long after a clock edge data must not change
    #[arg(long, value_name = "TIME")]
    pub hold_time: Option<Time>,
    /// spi: the channel that selects the device, and the side on which it does [default side: low]
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
