//! The serial port as bytes: received by interrupt, sent as there is room.

use core::convert::Infallible;

use embedded_hal_nb::serial::Write as _;
use embedded_io::{ErrorType, Read, ReadReady, Write, WriteReady};
use heapless::spsc::Consumer;
use stm32f4xx_hal::pac::USART1;
use stm32f4xx_hal::serial::{Tx, TxISR as _};

/// Both directions.
pub(crate) struct Port {
    pub(crate) received: Consumer<'static, u8>,
    pub(crate) sender: Tx<USART1>,
}

impl ErrorType for Port {
    type Error = Infallible;
}

impl ReadReady for Port {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        Ok(self.received.ready())
    }
}

impl Read for Port {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        let come = core::iter::from_fn(|| self.received.dequeue());
        Ok(bytes.iter_mut().zip(come).map(|(place, byte)| *place = byte).count())
    }
}

impl WriteReady for Port {
    fn write_ready(&mut self) -> Result<bool, Infallible> {
        Ok(self.sender.is_tx_empty())
    }
}

impl Write for Port {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        Ok(bytes.iter().take_while(|&&byte| self.sender.write(byte).is_ok()).count())
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}
