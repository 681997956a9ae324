//! The conditions, each with a picture of what makes an event (at `!`) for the long help.

use clap::ValueEnum;

/// The conditions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum ConditionName {
    #[value(help = r"The signal passes a level
     ____        ____
____!    \______!        rising; falling is the mirror")]
    Edge,
    #[value(help = r"A pulse of some width ends
     ____
____/    !_______        from where it passes the level to where it is back")]
    Pulse,
    #[value(help = r"An edge comes some time after the one before
     ____        ____
____/    \______!        from edge to edge of the same slope")]
    Interval,
    #[value(help = r"No edge comes for some time
   _   _
__/ \_/ \______!_        fires that time after the last, while it is quiet")]
    Dropout,
    #[value(help = r"The signal goes from one level to another in some time
         _!____   high
____.--''         low    from low to high without turning back; falling is the mirror")]
    Transition,
    #[value(help = r"A pulse passes one level and does not reach the other
  ____            high
_/    \____/\!__  low    positive: fires where it is back; negative is the mirror")]
    Runt,
    #[value(help = r"The signal enters or leaves a window, or stays inside or outside
__          !__   high
  \!_______/      low    enters, leaves; or has been there for some time")]
    Window,
}

impl ConditionName {
    /// As it is typed.
    pub fn name(self) -> &'static str {
        match self {
            Self::Edge => "edge",
            Self::Pulse => "pulse",
            Self::Interval => "interval",
            Self::Dropout => "dropout",
            Self::Transition => "transition",
            Self::Runt => "runt",
            Self::Window => "window",
        }
    }
}
