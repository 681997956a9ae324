//! The serial port as bytes: received by interrupt, sent as there is room.

use core::convert::Infallible;

use embedded_io::{ErrorType, Read, ReadReady, Write, WriteReady};
use heapless::spsc::Consumer;
use rp2040_hal::uart::{UartDevice, ValidUartPinout, Writer};

/// Bytes received and not yet read.
pub(crate) const WAITING: usize = 512;

/// Both directions.
pub(crate) struct Port<D: UartDevice, P: ValidUartPinout<D>> {
    pub(crate) received: Consumer<'static, u8>,
    pub(crate) writer: Writer<D, P>,
}

impl<D: UartDevice, P: ValidUartPinout<D>> ErrorType for Port<D, P> {
    type Error = Infallible;
}

impl<D: UartDevice, P: ValidUartPinout<D>> ReadReady for Port<D, P> {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        Ok(self.received.ready())
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>> Read for Port<D, P> {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        let come = core::iter::from_fn(|| self.received.dequeue());
        Ok(bytes.iter_mut().zip(come).map(|(place, byte)| *place = byte).count())
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>> WriteReady for Port<D, P> {
    fn write_ready(&mut self) -> Result<bool, Infallible> {
        self.writer.write_ready()
    }
}

impl<D: UartDevice, P: ValidUartPinout<D>> Write for Port<D, P> {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        let rest = self.writer.write_raw(bytes).map_or(bytes.len(), <[u8]>::len);
        Ok(bytes.len() - rest)
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}
