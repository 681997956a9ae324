//! A board that captures now: its end of the link, what is known of it, and the screen.
//!
//! ```text
//! serial port, TCP, recording ─► Line ─► Board ─► News ─► State ─► screen, log
//!                                          ▲                 │
//!                                       ToBoard ◄── keys ◄───┘
//! ```
//!
//! A recording is played by the same firmware application that runs on boards, in this process:
//! it speaks the same link.

mod board;
mod connection;
mod keys;
mod line;
mod played;
mod remote;
mod screen;
mod state;
mod verdict;

pub use board::{Board, News, heard};
pub use keys::{Key, key};
pub use line::Line;
pub use played::Played;
pub use remote::Remote;
pub use screen::{area, draw};
pub use state::{Events, State, owned};
pub use verdict::{Found, Outcome, Verdict};
