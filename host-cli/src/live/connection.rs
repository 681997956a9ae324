//! What carries the bytes.

use std::io::{self, Read, Write};
use std::net::TcpStream;

use serialport::{ClearBuffer, SerialPort};

/// Bytes in both directions, none of which waits to be flushed; a read that has none in time fails
/// as timed out.
pub(super) trait Connection: Read + Write + Send {
    /// Forgets what has not gone out yet: a port is not closed before it has.
    fn discard(&mut self) {}
}

impl Connection for TcpStream {}

impl Connection for Box<dyn SerialPort> {
    fn discard(&mut self) {
        // Where it fails, closing it takes long.
        let _ = self.clear(ClearBuffer::Output);
    }
}

/// What comes of connecting.
pub(super) type Connected = io::Result<Box<dyn Connection>>;
