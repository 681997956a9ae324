//! Ctrl-C and the system's other requests to end: reading ends, what is finished is kept, and the
//! program ends by itself.

use std::future::{pending, poll_fn};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, AtomicU8, Ordering};
use std::task::{Context, Poll};
use std::thread;
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tokio::time::sleep;

/// The exit status that the request asks for; 0 while there was none.
static REQUESTED: AtomicU8 = AtomicU8::new(0);
/// Whether reading has ended and a file is being completed: then nothing waits for a pipe.
static FINISHING: AtomicBool = AtomicBool::new(false);

/// How a shell knows a program that was interrupted: 128 + SIGINT.
const INTERRUPTED: u8 = 128 + 2;
/// The same for a closed terminal or console: 128 + SIGHUP.
const HUNG_UP: u8 = 128 + 1;
/// The same for a request of the system or of another program: 128 + SIGTERM.
const TERMINATED: u8 = 128 + 15;

/// A pipe may never give another byte: the end waits this long for it.
const PATIENCE: Duration = Duration::from_secs(1);

/// Listens for requests to end from now on. One of which the system refuses to tell ends the program
/// at once, as it would without this.
pub fn listen() {
    let Ok(runtime) = Builder::new_current_thread().enable_all().build() else { return };
    watch(&runtime);
    thread::spawn(move || runtime.block_on(pending::<()>()));
}

#[cfg(unix)]
fn watch(runtime: &Runtime) {
    use tokio::signal::unix::{SignalKind, signal};
    let _inside = runtime.enter();
    let kinds = [
        (SignalKind::interrupt(), INTERRUPTED),
        (SignalKind::terminate(), TERMINATED),
        (SignalKind::hangup(), HUNG_UP),
    ];
    for (kind, status) in kinds {
        // nohup has it ignored, and so it stays.
        if kind == SignalKind::hangup() && hang_up_is_ignored() {
            continue;
        }
        if let Ok(mut signal) = signal(kind) {
            end_at_each(runtime, status, move |context| signal.poll_recv(context));
        }
    }
}

/// Whether this program was started to go on when its terminal closes. The system says so in a file
/// on Linux alone; elsewhere nohup shows in a standard output and error that are no terminal.
#[cfg(unix)]
fn hang_up_is_ignored() -> bool {
    use std::io::{self, IsTerminal};
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
        let ignored = ignored.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
        return ignored.is_some_and(|mask| mask & 1 != 0);
    }
    !(io::stdout().is_terminal() || io::stderr().is_terminal())
}

#[cfg(windows)]
fn watch(runtime: &Runtime) {
    use tokio::signal::windows::{ctrl_break, ctrl_c, ctrl_close, ctrl_logoff, ctrl_shutdown};
    let _inside = runtime.enter();
    if let Ok(mut c) = ctrl_c() {
        end_at_each(runtime, INTERRUPTED, move |context| c.poll_recv(context));
    }
    if let Ok(mut pause) = ctrl_break() {
        end_at_each(runtime, INTERRUPTED, move |context| pause.poll_recv(context));
    }
    if let Ok(mut close) = ctrl_close() {
        end_at_each(runtime, HUNG_UP, move |context| close.poll_recv(context));
    }
    if let Ok(mut leave) = ctrl_logoff() {
        end_at_each(runtime, TERMINATED, move |context| leave.poll_recv(context));
    }
    if let Ok(mut off) = ctrl_shutdown() {
        end_at_each(runtime, TERMINATED, move |context| off.poll_recv(context));
    }
}

/// At the first request the program may end by itself; at the second, or where it does not in time,
/// it ends here.
fn end_at_each(
    runtime: &Runtime,
    status: u8,
    mut poll: impl FnMut(&mut Context<'_>) -> Poll<Option<()>> + Send + 'static,
) {
    runtime.spawn(async move {
        while poll_fn(&mut poll).await.is_some() {
            if REQUESTED.swap(status, Ordering::Relaxed) != 0 {
                std::process::exit(status.into());
            }
            tokio::spawn(async move {
                sleep(PATIENCE).await;
                while FINISHING.load(Ordering::Relaxed) {
                    sleep(PATIENCE).await;
                }
                std::process::exit(status.into());
            });
        }
    });
}

/// The exit status of a command that did what it could.
pub fn status() -> ExitCode {
    ExitCode::from(REQUESTED.load(Ordering::Relaxed))
}

/// Says whether a file is being completed, which may take longer than a pipe is waited for. A second
/// request still ends the program.
pub fn set_finishing(is_finishing: bool) {
    // Once asked to end, the program has only its files to complete.
    FINISHING.store(is_finishing || came(), Ordering::Relaxed);
}

/// Whether the program was asked to end.
pub fn came() -> bool {
    REQUESTED.load(Ordering::Relaxed) != 0
}
