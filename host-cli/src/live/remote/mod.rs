//! The board by SCPI, over TCP: up to 16 programs at a time, each with a talk of its own.
//!
//! ```text
//! main loop: News ─► View ─► Client: Instrument ◄── Session ◄── TCP
//!            Board ◄─ orders ─┘
//! ```

mod browser;
mod client;
mod view;

use std::io::{self, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, ToSocketAddrs};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use stillwave_link::ToBoard;

use super::News;
use crate::error::Error;
use client::Client;
use view::View;

/// Programs at a time; more are sent away.
const MOST: usize = 16;

/// Where there is no room for another program, one that has been silent for so long gives way.
const SILENCE: Duration = Duration::from_secs(60);

/// The side of the main loop.
pub struct Remote {
    shared: Arc<Shared>,
    address: SocketAddr,
}

/// What both sides see.
#[derive(Default)]
struct Shared {
    view: Mutex<View>,
    news: Condvar,
    /// The programs that are connected.
    there: Mutex<Vec<Arc<Presence>>>,
    /// What the person at the screen should know.
    notes: Mutex<Vec<String>>,
}

/// A program that is connected.
struct Presence {
    stream: TcpStream,
    /// When it last said something.
    heard: Mutex<Instant>,
}

impl Presence {
    fn hear(&self) {
        *lock(&self.heard) = Instant::now();
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // A thread that panicked has left plain values behind.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Shared {
    fn view(&self) -> MutexGuard<'_, View> {
        lock(&self.view)
    }

    /// Tells the person at the screen.
    fn note(&self, text: String) {
        lock(&self.notes).push(text);
    }

    /// Room for one more program, made by one that has been silent for long.
    fn make_room(&self) -> bool {
        let mut there = lock(&self.there);
        if there.len() < MOST {
            return true;
        }
        let silent = |presence: &Presence| lock(&presence.heard).elapsed();
        let longest = there.iter().enumerate().max_by_key(|(_, presence)| silent(presence));
        let Some((index, _)) = longest.filter(|(_, presence)| silent(presence) >= SILENCE) else {
            return false;
        };
        let _ = there.swap_remove(index).stream.shutdown(Shutdown::Both);
        drop(there);
        self.note("SCPI: a silent program gave way to another".to_owned());
        true
    }

    /// Waits for news, but not for long.
    fn wait(&self) {
        let view = self.view();
        drop(self.news.wait_timeout(view, Duration::from_millis(50)));
    }
}

impl Remote {
    /// Listens at `HOST:PORT`, of this computer alone unless `anywhere`.
    ///
    /// # Errors
    /// An address that is none, is not this computer's own, or is taken.
    pub fn listen(address: &str, anywhere: bool) -> Result<Self, Error> {
        let failed = |source| Error::Unreachable {
            name: format!("--scpi {address}"),
            source,
            remedy: "give HOST:PORT of this computer, such as 127.0.0.1:5025, where nothing else \
                     listens",
        };
        let addresses: Vec<_> = address.to_socket_addrs().map_err(failed)?.collect();
        if !anywhere && addresses.iter().any(|address| !address.ip().is_loopback()) {
            return Err(Error::usage(
                format!("--scpi {address} can be reached from other computers, without a password"),
                "give 127.0.0.1:PORT, or add --scpi-anywhere if that is meant",
            ));
        }
        let listener = TcpListener::bind(&*addresses).map_err(failed)?;
        let address = listener.local_addr().map_err(failed)?;
        let shared = Arc::new(Shared::default());
        let remote = Self { shared: Arc::clone(&shared), address };
        spawn("scpi", move || accept(&listener, &shared)).map_err(failed)?;
        Ok(remote)
    }

    /// What the person at the screen should know of programs that came.
    pub fn notes(&self) -> Vec<String> {
        std::mem::take(&mut lock(&self.shared.notes))
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Takes what a board says.
    pub fn take(&self, news: &News) {
        self.shared.view().take(news);
        self.shared.news.notify_all();
    }

    /// What programs have asked of the board since, of which `due` hellos are to come before theirs.
    pub fn orders(&self, due: u32) -> Vec<ToBoard> {
        self.shared.view().take_orders(due)
    }
}

fn spawn(name: &str, run: impl FnOnce() + Send + 'static) -> io::Result<()> {
    thread::Builder::new().name(name.to_owned()).spawn(run).map(drop)
}

fn accept(listener: &TcpListener, shared: &Arc<Shared>) {
    for stream in listener.incoming() {
        // One that has gone again already.
        let Ok(mut stream) = stream else { continue };
        if !shared.make_room() {
            // It may not listen.
            let _ = writeln!(
                stream,
                "refused: {MOST} programs are connected, and none has been silent for {} s",
                SILENCE.as_secs()
            );
            shared.note(format!("SCPI: a program was refused, as {MOST} are connected"));
            continue;
        }
        let Ok(own) = stream.try_clone() else { continue };
        let presence = Arc::new(Presence { stream: own, heard: Mutex::new(Instant::now()) });
        lock(&shared.there).push(Arc::clone(&presence));
        let (talker, leaver) = (Arc::clone(shared), Arc::clone(&presence));
        let leave = {
            let shared = Arc::clone(shared);
            move || lock(&shared.there).retain(|other| !Arc::ptr_eq(other, &leaver))
        };
        let leave_too = leave.clone();
        let talk = move || {
            // It ends where the other side does.
            let _ = Client::new(stream, talker, presence).talk();
            leave();
        };
        if spawn("scpi client", talk).is_err() {
            leave_too();
        }
    }
}
