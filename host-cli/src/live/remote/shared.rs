//! What the main loop and the programs share.

use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use super::view::View;

/// Programs at a time; more are sent away.
pub(super) const MOST: usize = 16;

/// Where there is no room for another program, one that has been silent for so long gives way.
pub(super) const SILENCE: Duration = Duration::from_secs(60);

/// What both sides see.
#[derive(Default)]
pub(super) struct Shared {
    pub(super) view: Mutex<View>,
    pub(super) news: Condvar,
    /// The programs that are connected.
    pub(super) there: Mutex<Vec<Arc<Presence>>>,
    /// What the person at the screen should know.
    pub(super) notes: Mutex<Vec<String>>,
}

/// A program that is connected.
pub(super) struct Presence {
    pub(super) stream: TcpStream,
    /// When it last said something.
    pub(super) heard: Mutex<Instant>,
}

impl Presence {
    pub(super) fn hear(&self) {
        *lock(&self.heard) = Instant::now();
    }
}

pub(super) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // A thread that panicked has left plain values behind.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Shared {
    pub(super) fn view(&self) -> MutexGuard<'_, View> {
        lock(&self.view)
    }

    /// Described the person at the screen.
    pub(super) fn note(&self, text: String) {
        lock(&self.notes).push(text);
    }

    /// Room for one more program, made by one that has been silent for long.
    pub(super) fn make_room(&self) -> bool {
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
    pub(super) fn wait(&self) {
        let view = self.view();
        drop(self.news.wait_timeout(view, Duration::from_millis(50)));
    }
}
