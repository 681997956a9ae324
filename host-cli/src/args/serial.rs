//! Options of conditions on serial lines.

use std::str::FromStr;

use clap::{Args, ValueEnum};

use super::line::SideName;
use crate::quantity::Time;

/// How serial lines are read, and what to look for on them.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Trigger on serial lines")]
pub struct SerialArgs {
    /// uart: baud rate, in bits per second: 9600
    #[arg(long, value_name = "BD")]
    pub baud: Option<f64>,
    /// uart: data bits per character, 5 to 9 [default: 8]
    #[arg(long, value_name = "N")]
    pub data_bits: Option<u8>,
    /// uart: parity bit [default: none]
    #[arg(long)]
    pub parity: Option<ParityName>,
    /// uart: level of the idle line [default: high]
    #[arg(long)]
    pub idle: Option<SideName>,
    /// uart, i2c: what to trigger on. A break needs --longer-than [default: any, or as implied by
    /// --value or --address]
    #[arg(long)]
    pub what: Option<SaidName>,
    /// uart, i2c, spi: value to trigger on: 0x41 or 65. uart, i2c: also a range: 0x41..0x5A
    #[arg(long, value_name = "V")]
    pub value: Option<Values>,
    /// i2c: 7-bit address to trigger on: 0x50
    #[arg(long, value_name = "A")]
    pub address: Option<Values>,
    /// i2c: direction of the transfer, after the address [default: both]
    #[arg(long)]
    pub direction: Option<DirectionName>,
    /// i2c: ignore spikes up to this long, such as 50ns in fast mode [default: none]
    #[arg(long, value_name = "TIME")]
    pub spikes: Option<Time>,
    /// spi: bits per word, 1 to 32 [default: 8]
    #[arg(long, value_name = "N")]
    pub word_bits: Option<u8>,
    /// spi: bit that comes first [default: msb]
    #[arg(long)]
    pub order: Option<OrderName>,
    /// spi: bits of --value to compare, such as 0x0F [default: all]
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
    /// No parity bit
    None,
    /// Even number of ones
    Even,
    /// Odd number of ones
    Odd,
}

/// What can be said on a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SaidName {
    /// uart: every character, framing error and parity error. i2c: everything
    Any,
    /// uart: the start of a character. i2c: a start or repeated start
    Start,
    /// uart: a character, which matches --value if given
    Character,
    /// uart: a missing stop bit
    FramingError,
    /// uart: a wrong parity bit
    ParityError,
    /// uart: the line is not idle for --longer-than or more
    Break,
    /// i2c: a stop
    Stop,
    /// i2c: the address --address, in --direction
    Address,
    /// i2c: a data byte, which matches --value if given
    Data,
    /// i2c: a byte without an acknowledge
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
    /// The most significant bit
    Msb,
    /// The least significant bit
    Lsb,
}
