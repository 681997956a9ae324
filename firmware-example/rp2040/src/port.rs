//! The port to a computer as bytes: by USB while a program there has it open, by the UART else.
//!
//! From the UART bytes come by interrupt; to either they go as there is room.

use core::convert::Infallible;

use embedded_io::{ErrorType, Read, ReadReady, Write, WriteReady};
use heapless::spsc::Consumer;
use rp2040_hal::uart::{UartDevice, ValidUartPinout, Writer};
use rtic::Mutex;

use crate::usb::Usb;

/// The UART's two directions.
pub(crate) struct Uart<D: UartDevice, P: ValidUartPinout<D>> {
    pub(crate) received: Consumer<'static, u8>,
    pub(crate) writer: Writer<D, P>,
}

/// Both.
pub(crate) struct Port<'p, D: UartDevice, P: ValidUartPinout<D>, U> {
    pub(crate) uart: &'p mut Uart<D, P>,
    pub(crate) usb: U,
}

impl<D: UartDevice, P: ValidUartPinout<D>, U> ErrorType for Port<'_, D, P, U> {
    type Error = Infallible;
}

impl<D: UartDevice, P: ValidUartPinout<D>, U: Mutex<T = Usb>> ReadReady for Port<'_, D, P, U> {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        let (is_open, has_received) = self.usb.lock(|usb| (usb.is_open(), usb.has_received()));
        if is_open {
            // Another computer there is not the one that is listened to.
            while self.uart.received.dequeue().is_some() {}
        }
        Ok(has_received || self.uart.received.ready())
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>, U: Mutex<T = Usb>> Read for Port<'_, D, P, U> {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        match self.usb.lock(|usb| usb.read(bytes)) {
            0 => {
                let come = core::iter::from_fn(|| self.uart.received.dequeue());
                Ok(bytes.iter_mut().zip(come).map(|(place, byte)| *place = byte).count())
            }
            count => Ok(count),
        }
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>, U: Mutex<T = Usb>> WriteReady for Port<'_, D, P, U> {
    fn write_ready(&mut self) -> Result<bool, Infallible> {
        // Whether there is room by USB is seen when it is written.
        if self.usb.lock(|usb| usb.is_open()) { Ok(true) } else { self.uart.writer.write_ready() }
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>, U: Mutex<T = Usb>> Write for Port<'_, D, P, U> {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        let by_usb = self.usb.lock(|usb| usb.is_open().then(|| usb.write(bytes)));
        Ok(by_usb.unwrap_or_else(|| {
            let rest = self.uart.writer.write_raw(bytes).map_or(bytes.len(), <[u8]>::len);
            bytes.len() - rest
        }))
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}
