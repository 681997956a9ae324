//! The board by SCPI, over TCP: up to 16 programs at a time, each with a talk of its own.
//!
//! ```text
//! main loop: News ─► View ─► Client: Instrument ◄── Session ◄── TCP
//!            Board ◄─ orders ─┘
//! ```

mod client;
mod view;

use std::io;
use std::net::{SocketAddr, TcpListener, ToSocketAddrs};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use stillwave_link::ToBoard;

use super::News;
use crate::error::Error;
use client::Client;
use view::View;

/// Programs at a time; more are sent away.
const MOST: usize = 16;

/// The side of the main loop.
pub struct Remote {
    shared: Arc<Shared>,
    address: SocketAddr,
}

/// What both sides see.
struct Shared {
    view: Mutex<View>,
    news: Condvar,
}

impl Shared {
    fn view(&self) -> MutexGuard<'_, View> {
        // A thread that panicked has left plain values behind.
        self.view.lock().unwrap_or_else(PoisonError::into_inner)
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
        let shared = Arc::new(Shared { view: Mutex::default(), news: Condvar::new() });
        let remote = Self { shared: Arc::clone(&shared), address };
        spawn("scpi", move || accept(&listener, &shared)).map_err(failed)?;
        Ok(remote)
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
    let there = Arc::new(AtomicUsize::new(0));
    for stream in listener.incoming() {
        // One that has gone again already.
        let Ok(stream) = stream else { continue };
        if there.fetch_add(1, Ordering::Relaxed) >= MOST {
            there.fetch_sub(1, Ordering::Relaxed);
            continue;
        }
        let (shared, there_now) = (Arc::clone(shared), Arc::clone(&there));
        let talk = move || {
            // It ends where the other side does.
            let _ = Client::new(stream, shared).talk();
            there_now.fetch_sub(1, Ordering::Relaxed);
        };
        if spawn("scpi client", talk).is_err() {
            there.fetch_sub(1, Ordering::Relaxed);
        }
    }
}
