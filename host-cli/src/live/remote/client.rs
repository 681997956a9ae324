//! One program.

use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::{Duration, Instant};

use stillwave_app::{FrontEnd, Settings};
use stillwave_scpi::{Instrument, Missing, Session};

use super::browser::Browser;
use super::shared::{Presence, Shared};
use super::view::View;

/// How long a program that says no more is waited with.
const LISTENS: Duration = Duration::from_secs(10);

/// A program that is there, and the board as it sees it.
pub(super) struct Client {
    stream: TcpStream,
    shared: Arc<Shared>,
    began: Instant,
    presence: Arc<Presence>,
    /// Since when it says no more.
    silent: Option<Instant>,
}

impl Client {
    pub(super) fn new(stream: TcpStream, shared: Arc<Shared>, presence: Arc<Presence>) -> Self {
        Self { stream, shared, began: Instant::now(), presence, silent: None }
    }

    /// Until it goes.
    pub(super) fn talk(mut self) -> io::Result<()> {
        self.stream.set_nodelay(true)?;
        while !self.shared.view().is_ready() {
            if !self.wait() {
                return Ok(());
            }
        }
        // It could not be heard before.
        self.presence.hear();
        let (mut session, mut bytes, mut answer) = (Session::default(), [0; 1024], Vec::new());
        let mut browser = Browser::default();
        loop {
            let count = match self.stream.read(&mut bytes) {
                Ok(0) => return Ok(()),
                Ok(count) => count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            self.presence.hear();
            for byte in bytes.iter().take(count) {
                // Before the line is done.
                if browser.is_seen_at(*byte) {
                    self.shared.note(
                        "SCPI: a browser was sent away: a web page tried to reach the board"
                            .to_owned(),
                    );
                    return Ok(());
                }
                session.take(&mut self, std::slice::from_ref(byte), &mut answer);
                // A message's answer as soon as it is there.
                if !answer.is_empty() {
                    self.stream.write_all(&answer)?;
                    answer.clear();
                }
            }
        }
    }

    /// Waits a little; `false` where recording or program have gone.
    fn wait(&mut self) -> bool {
        self.shared.wait();
        !self.shared.view().has_ended() && !self.has_gone()
    }

    fn has_gone(&mut self) -> bool {
        let looked = self.stream.set_nonblocking(true).and_then(|()| self.stream.peek(&mut [0]));
        let back = self.stream.set_nonblocking(false);
        let gone = match looked {
            // It says no more, but may still listen.
            Ok(0) => self.silent.get_or_insert_with(Instant::now).elapsed() >= LISTENS,
            Ok(_) => false,
            Err(error) => error.kind() != io::ErrorKind::WouldBlock,
        };
        gone || back.is_err()
    }

    /// Asks for something as soon as there is room for it.
    fn order(&mut self, ask: impl FnOnce(&mut View)) -> Result<(), Missing> {
        loop {
            let mut view = self.shared.view();
            if view.is_gone() {
                return Err(Missing);
            }
            if !view.is_full() {
                ask(&mut view);
                return Ok(());
            }
            drop(view);
            if !self.wait() {
                return Err(Missing);
            }
        }
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

    fn change(&mut self, change: impl Fn(&mut Settings)) -> Result<(), Missing> {
        self.order(|view| {
            // Of what others have asked for meanwhile nothing is lost.
            let mut settings = view.settings();
            change(&mut settings);
            view.set(settings);
        })
    }

    fn run(&mut self) -> Result<(), Missing> {
        self.order(View::run)
    }

    fn stop(&mut self) -> Result<(), Missing> {
        self.order(View::stop)
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::TcpListener;
    use std::sync::{Barrier, Mutex};
    use std::thread;

    #[test]
    fn programs_that_change_different_things_at_once_lose_none() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let shared = Arc::new(Shared::default());
        let client = || {
            let stream = TcpStream::connect(address).unwrap();
            let own = stream.try_clone().unwrap();
            let presence = Presence { stream: own, heard: Mutex::new(Instant::now()) };
            Client::new(stream, Arc::clone(&shared), Arc::new(presence))
        };
        let (mut one, mut other, both) = (client(), client(), Barrier::new(2));
        thread::scope(|scope| {
            scope.spawn(|| {
                both.wait();
                other.change(|settings| settings.hysteresis_mv = 77).unwrap();
            });
            one.change(|settings| {
                settings.level_mv = 55;
                // The other comes in the middle of it.
                both.wait();
                thread::sleep(Duration::from_millis(50));
            })
            .unwrap();
        });
        let settings = shared.view().settings();
        assert_eq!((settings.level_mv, settings.hysteresis_mv), (55, 77));
    }
}
