//! A trigger that suits a recording, found by the engine and put in words.
//!
//! ```text
//! recording ─► Held ─► Signal ─► stillwave::suggest ─► Options   what to type
//!                                                      reasons   why
//! ```

mod options;
mod reasons;
mod show;
mod signal;

pub use options::{Options, Typed, time, voltage};
pub use reasons::{Reason, nothing_moves, reasons};
pub use show::{difference, level, samples};
pub use signal::{Held, Signal};
