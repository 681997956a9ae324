//! The conditions, each with a picture of what makes an event (at `!`) for the long help.

use clap::ValueEnum;

/// The conditions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum ConditionName {
    #[value(help = r"The signal crosses a level
     ____        ____
____!    \______!        rising; falling is the mirror")]
    Edge,
    #[value(help = r"A pulse ends, and its width matches
     ____
____/    !_______        width: from crossing the level until it is back")]
    Pulse,
    #[value(help = r"The time from one edge to the next matches
     ____        ____
____/    \______!        from an edge to the next of the same slope")]
    Interval,
    #[value(help = r"No edge comes for a time
   _   _
__/ \_/ \______!_        fires --after the last edge, while it is quiet")]
    Dropout,
    #[value(help = r"The signal goes from one level to the other in a matching time
         _!____   high
____.--''         low    from low to high without turning back; falling is the mirror")]
    Transition,
    #[value(help = r"A pulse crosses one level but does not reach the other
  ____            high
_/    \____/\!__  low    positive: fires when it is back; negative is the mirror")]
    Runt,
    #[value(help = r"The signal enters or leaves a window, or stays inside or outside
__          !__   high
  \!_______/      low    enters, leaves, or stays for a matching time")]
    Window,
    #[value(help = r"The time between edges on two channels matches
____!~~~~~~~~         --channel: the time begins
___________!___       --to: the time ends; fires here if it matches")]
    Delay,
    #[value(help = r"The n-th edge after the start, a quiet time or another edge
  _ _ _       _ _ _    --events 3, --quiet: fires at the
_/ \ \ !_____/ \ \ !_  third edge of each burst")]
    Count,
    #[value(help = r"An edge, then an edge on another channel
__!____!_______       --channel: the first edge starts the search
_!____!__!_____       --then: fires at edge number --events after it")]
    Sequence,
    #[value(help = r"Several channels have given states at the same time
___/~~~~~~~\___       --lines 1:high,2:low
~~~~~\_________       enters, leaves, or stays for a matching time")]
    Pattern,
    #[value(help = r"Data changes too close to a clock edge
______!~~~~~~~~       --channel: the clock edge
===X====X======       --data: changes within --setup-time or --hold-time of it")]
    SetupHold,
    #[value(help = r"A character or an error on an asynchronous line (--baud)
~~\__/~~\_____/~~~    start bit, data bits (lowest first),
  |S |1 |0 0 |P !     parity, stop bit: fires here")]
    Uart,
    #[value(help = r"A start, stop, address or data byte on an I2C bus
~~~\_/~\_/~           --channel: clock
~\___/~~\__           --data: data")]
    I2c,
    #[value(help = r"A word on an SPI bus
__/~\_/~\__           --channel: clock
==X===X====           --data: data, while --select is active")]
    Spi,
    #[value(help = r"A line or a field of a composite video signal begins
~~\_/~~~~\_/~~~~!_/~~~    one sync pulse per line: fires where it begins
~~\_/~~~~!___/\___/\__    a few broad pulses begin a field")]
    Video,
}

impl ConditionName {
    /// As it is typed.
    pub fn name(self) -> String {
        self.to_possible_value().map_or_else(String::new, |value| value.get_name().to_owned())
    }
}
