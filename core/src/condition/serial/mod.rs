//! Serial lines: what was said on them. One file a protocol, all on the sides of levels.

mod i2c;
mod lines;
mod spi;
mod steady;
mod uart;
mod uart_format;

pub use i2c::{I2c, I2cEvent, I2cWhen};
pub use spi::{BitOrder, Spi, SpiFormat};
pub use uart::{Uart, UartEvent, UartWhen};
pub use uart_format::{Parity, UartFormat};
