//! Options of conditions on serial lines.

use std::str::FromStr;

use clap::{Args, ValueEnum};

use super::line::SideName;
use crate::quantity::Time;

/// How serial lines are read, and what to look for on them.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger on serial lines")]
pub struct SerialArgs {
    /// uart: bits a second
    #[arg(long, value_name = "BD")]
    pub baud: Option<f64>,
    /// uart: data bits, 5 to 9 [default: 8]
    #[arg(long, value_name = "N")]
    pub data_bits: Option<u8>,
    /// uart: the parity bit [default: none]
    #[arg(long)]
    pub parity: Option<ParityName>,
    /// uart: the side of a line at rest [default: high]
    #[arg(long)]
    pub idle: Option<SideName>,
    /// uart, i2c: what is said; a break needs --longer-than [default: any]
    #[arg(long)]
    pub what: Option<SaidName>,
    /// uart, i2c, spi: the value, or the first and the last: 0x41, 65, 0x41..0x5A
    #[arg(long, value_name = "V")]
    pub value: Option<Values>,
    /// i2c: the 7-bit address: 0x50
    #[arg(long, value_name = "A")]
    pub address: Option<Values>,
    /// i2c: the direction behind the address [default: both]
    #[arg(long)]
    pub direction: Option<DirectionName>,
    /// i2c: pass over spikes up to this long; 50ns in fast mode [default: none]
    #[arg(long, value_name = "TIME")]
    pub spikes: Option<Time>,
    /// spi: bits in a word, 1 to 32 [default: 8]
    #[arg(long, value_name = "N")]
    pub word_bits: Option<u8>,
    /// spi: which bit comes first [default: msb]
    #[arg(long)]
    pub order: Option<OrderName>,
    /// spi: which bits of --value matter [default: all]
    #[arg(long, value_name = "M")]
    pub mask: Option<Values>,
}

impl SerialArgs {
    /// Those given, all of which some conditions have no use for.
    pub(super) fn given(&self) -> [(&'static str, bool); 12] {
        [
            ("--baud", self.baud.is_some()),
            ("--data-bits", self.data_bits.is_some()),
            ("--parity", self.parity.is_some()),
            ("--idle", self.idle.is_some()),
            ("--what", self.what.is_some()),
            ("--value", self.value.is_some()),
            ("--address", self.address.is_some()),
            ("--direction", self.direction.is_some()),
            ("--spikes", self.spikes.is_some()),
            ("--word-bits", self.word_bits.is_some()),
            ("--order", self.order.is_some()),
            ("--mask", self.mask.is_some()),
        ]
    }
}

/// A value, or all from the first to the last, both included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Values {
    pub first: u32,
    pub last: u32,
}

impl Values {
    /// The value, where it is one.
    pub fn one(self) -> Option<u32> {
        (self.first == self.last).then_some(self.first)
    }
}

impl FromStr for Values {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let number = |text: &str| {
            let text = text.trim();
            let hexadecimal = text.strip_prefix("0x").or_else(|| text.strip_prefix("0X"));
            let number = match hexadecimal {
                Some(digits) => u32::from_str_radix(digits, 16),
                None => text.parse(),
            };
            number.map_err(|_| format!("\"{text}\" is not a value such as 0x41, 65 or 0x41..0x5A"))
        };
        let (first, last) = text.split_once("..").unwrap_or((text, text));
        let (first, last) = (number(first)?, number(last)?);
        if last < first {
            return Err(format!("\"{text}\": the first value is the lower one"));
        }
        Ok(Self { first, last })
    }
}

/// The parity bits of characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ParityName {
    /// There is none
    None,
    /// An even number of ones
    Even,
    /// An odd number of ones
    Odd,
}

/// What can be said on a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SaidName {
    /// uart: every character and every error; i2c: everything
    Any,
    /// uart: a character begins; i2c: a start, repeated ones included
    Start,
    /// uart: a character, of --value if there is one
    Character,
    /// uart: no stop bit
    FramingError,
    /// uart: a wrong parity bit
    ParityError,
    /// uart: the line away from rest for --longer-than at least
    Break,
    /// i2c: a stop
    Stop,
    /// i2c: --address, in --direction
    Address,
    /// i2c: a data byte, of --value if there is one
    Data,
    /// i2c: a byte that nobody acknowledged
    MissingAcknowledge,
}

/// The directions of a transfer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DirectionName {
    /// The controller reads
    Read,
    /// The controller writes
    Write,
    /// Both
    Both,
}

/// The order of bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OrderName {
    /// The most significant first
    Msb,
    /// The least significant first
    Lsb,
}
