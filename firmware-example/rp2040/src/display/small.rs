//! 128 × 64 pixels, SSD1306 by I²C: data at GP4, clock at GP5.

use rp2040_hal::I2C;
use rp2040_hal::gpio::bank0::{Gpio4, Gpio5};
use rp2040_hal::gpio::{FunctionI2C, Pin, PullUp};
use rp2040_hal::pac::I2C0;
use ssd1306::mode::BufferedGraphicsMode;
use ssd1306::prelude::{DisplayRotation, DisplaySize128x64, I2CInterface};
use ssd1306::{I2CDisplayInterface, Ssd1306};

/// The clock on the bus, in kHz.
pub(crate) const KILOHERTZ: u32 = 400;

/// Bytes that are on their way at a time: the driver has a memory of its own.
pub(crate) const CHUNK: usize = 0;

type Bus = I2C<I2C0, (Pin<Gpio4, FunctionI2C, PullUp>, Pin<Gpio5, FunctionI2C, PullUp>)>;

/// What is drawn is seen after `flush`.
pub(crate) type Display =
    Ssd1306<I2CInterface<Bus>, DisplaySize128x64, BufferedGraphicsMode<DisplaySize128x64>>;

/// The display at the bus. Without one the link still works.
pub(crate) fn open(bus: Bus) -> Display {
    use ssd1306::mode::DisplayConfig as _;

    let interface = I2CDisplayInterface::new(bus);
    let mut display = Ssd1306::new(interface, DisplaySize128x64, DisplayRotation::Rotate0)
        .into_buffered_graphics_mode();
    let _ = display.init();
    display
}
