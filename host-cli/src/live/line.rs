//! Where a board is, and the way to it.

use std::io;
use std::net::{TcpStream, ToSocketAddrs};
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

use super::Played;
use super::connection::Connected;

/// How long a read waits for bytes.
const PATIENCE: Duration = Duration::from_millis(10);
/// How long a write waits for room: a board that takes nothing must not hold up all else.
const ROOM: Duration = Duration::from_secs(1);
/// How long an address is waited for that does not answer.
const ANSWER: Duration = Duration::from_secs(2);
/// Bits a second of a board's serial port.
const SPEED: u32 = 921_600;

/// Where a board is.
#[derive(Debug)]
pub enum Line {
    /// A serial port, by the system's name.
    Serial(String),
    /// A host and a port.
    Tcp(String),
    /// In this process, once.
    Played(Option<Played>),
}

impl Line {
    /// The place that a person names: `tcp://HOST:PORT` or a serial port.
    pub fn named(name: &str) -> Self {
        match name.strip_prefix("tcp://") {
            Some(address) => Self::Tcp(address.to_owned()),
            None => Self::Serial(name.to_owned()),
        }
    }

    /// For messages.
    pub fn name(&self) -> String {
        match self {
            Self::Serial(name) => name.clone(),
            Self::Tcp(address) => format!("tcp://{address}"),
            Self::Played(_) => "the recording".to_owned(),
        }
    }

    /// What to do where it is not there.
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::Serial(_) => {
                "check the name, that the board is connected, and that no other program has it"
            }
            Self::Tcp(_) => {
                "check HOST and PORT (tcp://HOST:PORT), and that something listens there"
            }
            Self::Played(_) => "check the file",
        }
    }

    /// Whether it may be there again after it has gone.
    pub(super) fn comes_back(&self) -> bool {
        !matches!(self, Self::Played(_))
    }

    /// Connects once more, in a thread of its own: all else goes on while nothing answers. None
    /// where it does not come back, or the system gives no thread.
    pub(super) fn connect_again(&self) -> Option<JoinHandle<Connected>> {
        let mut line = match self {
            Self::Serial(name) => Self::Serial(name.clone()),
            Self::Tcp(address) => Self::Tcp(address.clone()),
            Self::Played(_) => return None,
        };
        Builder::new().name("connect".to_owned()).spawn(move || line.connect()).ok()
    }

    pub(super) fn connect(&mut self) -> Connected {
        match self {
            Self::Serial(name) => {
                let port = serialport::new(name.as_str(), SPEED).timeout(PATIENCE).open()?;
                Ok(Box::new(port))
            }
            Self::Tcp(address) => {
                let stream = reach(address)?;
                stream.set_read_timeout(Some(PATIENCE))?;
                stream.set_write_timeout(Some(ROOM))?;
                stream.set_nodelay(true)?;
                Ok(Box::new(stream))
            }
            Self::Played(played) => match played.take() {
                Some(played) => Ok(Box::new(played.start()?)),
                None => Err(io::ErrorKind::UnexpectedEof.into()),
            },
        }
    }
}

/// The first of a host's addresses that answers.
fn reach(address: &str) -> io::Result<TcpStream> {
    let mut outcome = Err(io::ErrorKind::AddrNotAvailable.into());
    for address in address.to_socket_addrs()? {
        outcome = TcpStream::connect_timeout(&address, ANSWER);
        if outcome.is_ok() {
            break;
        }
    }
    outcome
}
