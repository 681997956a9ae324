//! 240 × 240 pixels, ST7789 by SPI: clock at GP18, data at GP19, select at GP17, data or command at
//! GP20, reset at GP21.

use core::convert::Infallible;

use embedded_graphics::framebuffer::{Framebuffer, buffer_size};
use embedded_graphics::image::ImageDrawable as _;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::pixelcolor::raw::{BigEndian, RawU1};
use embedded_graphics::prelude::{DrawTarget, DrawTargetExt as _, OriginDimensions, Pixel, Size};
use embedded_hal_bus::spi::{ExclusiveDevice, NoDelay};
use mipidsi::interface::SpiInterface;
use mipidsi::models::ST7789;
use mipidsi::options::ColorInversion;
use rp2040_hal::gpio::bank0::{Gpio17, Gpio18, Gpio19, Gpio20, Gpio21};
use rp2040_hal::gpio::{FunctionSioOutput, FunctionSpi, Pin, PullDown};
use rp2040_hal::pac::SPI0;
use rp2040_hal::spi::{Enabled, Spi};
use rp2040_hal::timer::Timer;

const SIDE: usize = 240;

/// The clock on the bus, in kHz: a picture takes 30 ms.
pub(crate) const KILOHERTZ: u32 = 31_250;
/// Bytes that are on their way at a time.
pub(crate) const CHUNK: usize = 480;

type Output<I> = Pin<I, FunctionSioOutput, PullDown>;
type Bus =
    Spi<Enabled, SPI0, (Pin<Gpio19, FunctionSpi, PullDown>, Pin<Gpio18, FunctionSpi, PullDown>), 8>;
type Device = ExclusiveDevice<Bus, Output<Gpio17>, NoDelay>;
type Screen =
    mipidsi::Display<SpiInterface<'static, Device, Output<Gpio20>>, ST7789, Output<Gpio21>>;
type Picture = Framebuffer<
    BinaryColor,
    RawU1,
    BigEndian,
    SIDE,
    SIDE,
    { buffer_size::<BinaryColor>(SIDE, SIDE) },
>;

/// What is drawn is held here, so that no half of a picture is seen, and shown by
/// [`flush`](Self::flush).
pub(crate) struct Display {
    picture: Picture,
    /// None where it cannot be told of its pixels: the link still works.
    screen: Option<Screen>,
}

/// The pins beside those of the bus.
pub(crate) struct Lines {
    pub(crate) select: Output<Gpio17>,
    pub(crate) data: Output<Gpio20>,
    pub(crate) reset: Output<Gpio21>,
}

/// The display at the bus.
pub(crate) fn open(
    bus: Bus,
    lines: Lines,
    memory: &'static mut [u8; CHUNK],
    mut timer: Timer,
) -> Display {
    let Lines { select, data, reset } = lines;
    let screen = ExclusiveDevice::new_no_delay(bus, select).ok().and_then(|device| {
        mipidsi::Builder::new(ST7789, SpiInterface::new(device, data, memory))
            .display_size(SIDE as u16, SIDE as u16)
            .invert_colors(ColorInversion::Inverted)
            .reset_pin(reset)
            .init(&mut timer)
            .ok()
    });
    Display { picture: Picture::new(), screen }
}

impl Display {
    /// Shows what was drawn, white on black.
    pub(crate) fn flush(&mut self) -> Result<(), ()> {
        match &mut self.screen {
            None => Ok(()),
            Some(screen) => {
                let mut screen = screen.color_converted::<BinaryColor>();
                self.picture.as_image().draw(&mut screen).map_err(drop)
            }
        }
    }
}

impl OriginDimensions for Display {
    fn size(&self) -> Size {
        self.picture.size()
    }
}

impl DrawTarget for Display {
    type Color = BinaryColor;
    type Error = Infallible;

    fn draw_iter<I>(&mut self, pixels: I) -> Result<(), Infallible>
    where
        I: IntoIterator<Item = Pixel<BinaryColor>>,
    {
        self.picture.draw_iter(pixels)
    }
}
