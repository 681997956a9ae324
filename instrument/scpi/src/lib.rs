//! The bench instrument by text: keywords of SCPI-1999 (volume 2) and of IEEE 488.2.
//!
//! ```text
//! bytes ─► Session ─► messages ─► units ─► microscpi ─► Desk ─► Instrument
//!             ▲                                          │
//!   answer ◄──┴──────────── status, errors ◄─────────────┘
//! ```
//!
//! A message ends with a newline; its units are parted by `;` and begin where the last one's header
//! was, as in SCPI. `microscpi` finds headers and reads values; what it leaves out is done here:
//! suffixes (`20 mV`), `MINimum` and `MAXimum`, one answer a message, the status registers, the
//! standard's error numbers. `LINK.md` in the crate `stillwave-link` lists the commands.
//!
//! Neither standard was at hand: what their chapters say, in all files here, is from memory.
//!
//! [`Session::take`] is all there is to call: bytes in, answers out, whatever the bytes.
#![cfg_attr(not(test), no_std)]

mod answer;
mod desk;
mod format;
mod instrument;
mod session;
mod status;
mod unit;
mod value;

pub use instrument::{Instrument, Missing};
pub use microscpi::{Error, Write};
pub use session::Session;
pub use unit::LONGEST_MESSAGE;
