//! How far a long job has come, where a person is watching.

use std::fmt::Write;
use std::io::IsTerminal;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};

use crate::quantity::format_si;

/// A bar on standard error; nothing where that is no terminal.
pub fn bar(frames: Option<u64>) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let target = ProgressDrawTarget::stderr_with_hz(5);
    let bar = ProgressBar::with_draw_target(frames, target);
    let template = if frames.is_some() {
        "{bar:40} {percent:>3} %  {human_pos} samples, {speed}, {eta} to go"
    } else {
        bar.enable_steady_tick(Duration::from_millis(200));
        "{spinner} {human_pos} samples, {speed}"
    };
    match ProgressStyle::with_template(template) {
        Ok(style) => bar.with_style(style.with_key("speed", speed)),
        Err(_) => bar,
    }
}

fn speed(state: &ProgressState, out: &mut dyn Write) {
    // A bar that cannot be drawn is no reason to stop.
    let _ = write!(out, "{}", format_si(state.per_sec(), "S/s", 3));
}
