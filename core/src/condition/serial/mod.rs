//! Serial lines: decoding of the traffic, from the sides of levels. One file per protocol.

mod i2c;
mod lines;
mod spi;
mod steady;
mod uart;
mod uart_format;

pub use i2c::{I2c, I2cConfig, I2cEvent, I2cWhen};
pub use spi::{BitOrder, Spi, SpiConfig, SpiFormat};
pub use uart::{Uart, UartConfig, UartEvent, UartWhen};
pub use uart_format::{Parity, UartFormat};
