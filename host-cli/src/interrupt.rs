//! Ctrl-C: reading ends, what is finished is kept, and the program ends by itself.

use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// How a shell knows a program that was interrupted: 128 + SIGINT.
pub const STATUS: u8 = 130;

/// Listens for Ctrl-C from now on. Where the system refuses, Ctrl-C ends the program at once, as
/// it would without this.
pub fn listen() {
    let _ = ctrlc::set_handler(|| {
        if INTERRUPTED.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(STATUS));
        }
        // A pipe may never give another byte: there, the end does not wait for it.
        std::thread::sleep(Duration::from_secs(1));
        std::process::exit(i32::from(STATUS));
    });
}

/// The exit status of a command that did what it could.
pub fn status() -> ExitCode {
    if came() { ExitCode::from(STATUS) } else { ExitCode::SUCCESS }
}

/// Whether Ctrl-C was pressed.
pub fn came() -> bool {
    INTERRUPTED.load(Ordering::Relaxed)
}
