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
    #[value(help = r"An edge comes some time after one on another channel
____!~~~~~~~~         from --channel
___________!___       to --to: fires here, for the time asked for")]
    Delay,
    #[value(help = r"The n-th edge since the start, a quiet time, or another edge
  _ _ _       _ _ _    --events 3, --quiet: fires at the
_/ \ \ !_____/ \ \ !_  third of each burst")]
    Count,
    #[value(help = r"An edge, and after it one on another channel
__!____!_______       --channel: from the first on,
_!____!__!_____       --then is looked for: fires at its --events th")]
    Sequence,
    #[value(help = r"Several channels are as asked for at once
___/~~~~~~~\___       --lines 1:high,2:low
~~~~~\_________       enters, leaves; or has been there for some time")]
    Pattern,
    #[value(help = r"Data changes too near a clock edge
______!~~~~~~~~       --channel, less than --setup-time
===X====X======       after --data or --hold-time before it")]
    SetupHold,
    #[value(help = r"Something is said on an asynchronous line, --baud bits a second
~~\__/~~\_____/~~~    start bit, data from the lowest bit on,
  |S |1 |0 0 |P !     parity, stop bit: fires there")]
    Uart,
    #[value(help = r"Something is said on an I2C bus
~~~\_/~\_/~           --channel is the clock
~\___/~~\__           --data")]
    I2c,
    #[value(help = r"A word is sent on an SPI line
__/~\_/~\__           --channel is the clock
==X===X====           --data, while --select is active")]
    Spi,
    #[value(help = r"A line or a field of a composite picture signal begins
~~\_/~~~~\_/~~~~!_/~~~    a pulse for each line: fires where it begins;
~~\_/~~~~!___/\___/\__    a few broad ones begin a field")]
    Video,
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
            Self::Delay => "delay",
            Self::Count => "count",
            Self::Sequence => "sequence",
            Self::Pattern => "pattern",
            Self::SetupHold => "setup-hold",
            Self::Uart => "uart",
            Self::I2c => "i2c",
            Self::Spi => "spi",
            Self::Video => "video",
        }
    }
}
