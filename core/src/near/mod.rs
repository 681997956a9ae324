//! Near misses: signals that came close to an event, and what they lacked.
//!
//! ```text
//! samples ─┬─► the condition ──────────────────────────► events
//!          ├─► the same without its bound on time ─────► TimeMisses: "lacked 0.3 µs"
//!          └─► swings, from turning point to the next ─► LevelMisses: "lacked 90 mV"
//! ```
//! All of this runs alongside a condition and does not change it; it costs nothing if unused.

mod level_misses;
mod swings;
mod time_misses;

pub use crate::condition::relaxed::Relaxed;
pub use level_misses::{LevelMiss, LevelMisses};
pub use swings::{Swing, Swings};
pub use time_misses::{NEAREST, TimeMiss, TimeMisses};
