//! The board by SCPI, over TCP: up to 16 programs at a time, each with a talk of its own.
//!
//! ```text
//! main loop: News ─► View ─► Client: Instrument ◄── Session ◄── TCP
//!            Board ◄─ orders ─┘
//! ```

mod browser;
mod client;
mod shared;
mod view;

use std::io::{self, Write};
use std::net::{SocketAddr, TcpListener, ToSocketAddrs};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Instant;

use stillwave_link::ToBoard;

use super::News;
use crate::error::Error;
use client::Client;
use shared::{MOST, Presence, SILENCE, Shared, lock};

/// The side of the main loop.
pub struct Remote {
    shared: Arc<Shared>,
    address: SocketAddr,
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
