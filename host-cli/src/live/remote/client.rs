//! One program.

use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::Instant;

use stillwave_app::{FrontEnd, Settings};
use stillwave_scpi::{Instrument, Session};

use super::Shared;

/// A program that is there, and the board as it sees it.
pub(super) struct Client {
    stream: TcpStream,
    shared: Arc<Shared>,
    began: Instant,
}

impl Client {
    pub(super) fn new(stream: TcpStream, shared: Arc<Shared>) -> Self {
        Self { stream, shared, began: Instant::now() }
    }

    /// Until it goes.
    pub(super) fn talk(mut self) -> io::Result<()> {
        self.stream.set_nodelay(true)?;
        while !self.shared.view().is_ready() {
            if !self.wait() {
                return Ok(());
            }
        }
        let (mut session, mut bytes, mut answer) = (Session::default(), [0; 1024], Vec::new());
        loop {
            let count = match self.stream.read(&mut bytes) {
                Ok(0) => return Ok(()),
                Ok(count) => count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            for byte in bytes.iter().take(count) {
                session.take(&mut self, std::slice::from_ref(byte), &mut answer);
                // A message's answer as soon as it is there.
                if !answer.is_empty() {
                    self.stream.write_all(&answer)?;
                    answer.clear();
                }
            }
        }
    }

    /// Waits a little; `false` where board or program have gone.
    fn wait(&self) -> bool {
        self.shared.wait();
        !self.shared.view().has_ended() && !self.has_gone()
    }

    fn has_gone(&self) -> bool {
        let looked = self.stream.set_nonblocking(true).and_then(|()| self.stream.peek(&mut [0]));
        let back = self.stream.set_nonblocking(false);
        let gone = match looked {
            Ok(count) => count == 0,
            Err(error) => error.kind() != io::ErrorKind::WouldBlock,
        };
        gone || back.is_err()
    }
}

impl Instrument for Client {
    type Samples = Arc<[u16]>;

    fn front(&self) -> FrontEnd {
        self.shared.view().front()
    }

    fn longest(&self) -> usize {
        self.shared.view().longest()
    }

    fn settings(&self) -> Settings {
        self.shared.view().settings()
    }

    fn is_running(&self) -> bool {
        self.shared.view().is_running()
    }

    fn set(&mut self, settings: Settings) {
        self.shared.view().set(settings);
    }

    fn run(&mut self) {
        self.shared.view().run();
    }

    fn stop(&mut self) {
        self.shared.view().stop();
    }

    fn begun(&self) -> u64 {
        self.shared.view().begun()
    }

    fn record(&self, after: u64) -> Option<Arc<[u16]>> {
        self.shared.view().record(after)
    }

    fn milliseconds(&self) -> u64 {
        self.began.elapsed().as_millis() as u64
    }

    async fn pause(&mut self) -> bool {
        self.wait()
    }
}
