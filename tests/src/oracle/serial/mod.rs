//! The rules for serial lines, said bit by bit.

mod i2c;
mod spi;
mod uart;

pub use i2c::I2c;
pub use spi::Spi;
pub use uart::Uart;

/// What was said.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Said {
    Start,
    Stop,
    Character(u16),
    BadFrame(u16),
    BadParity(u16),
    Break(u64),
    Address { address: u8, read: bool, acknowledged: bool },
    Data { value: u8, acknowledged: bool },
    Word(u32),
}
