//! Options of conditions on picture signals.

use clap::{Args, ValueEnum};

/// What to look for in a composite picture signal.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger on picture signals")]
pub struct VideoArgs {
    /// video: lines per frame and fields per second
    #[arg(long)]
    pub standard: Option<StandardName>,
    /// video: line to trigger on, from 1 [default: every line]
    #[arg(long, value_name = "N", conflicts_with = "field")]
    pub line: Option<u16>,
    /// video: field to trigger on, instead of a line
    #[arg(long)]
    pub field: Option<FieldName>,
}

impl VideoArgs {
    /// Those given, all of which most conditions have no use for.
    pub(super) fn given(&self) -> [(&'static str, bool); 3] {
        [
            ("--standard", self.standard.is_some()),
            ("--line", self.line.is_some()),
            ("--field", self.field.is_some()),
        ]
    }
}

/// How pictures are scanned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StandardName {
    /// 625 lines, 50 fields per second
    #[value(name = "625/50")]
    Lines625,
    /// 525 lines, 59.94 fields per second
    #[value(name = "525/60")]
    Lines525,
}

/// The fields of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FieldName {
    /// Both fields
    Any,
    /// The first field, with the odd lines of the picture
    Odd,
    /// The second field, with the even lines of the picture
    Even,
}
