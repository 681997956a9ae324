//! The link between a board and a computer, the same code on both ends.
//!
//! `LINK.md` describes it byte by byte. A frame is a [`FromBoard`] or a [`ToBoard`] in postcard's
//! format, with version, number and CRC, in COBS, so that a 0 ends it and nothing else: whatever
//! was dropped or damaged, the next frame is found again. What is lost is counted on both ends.
#![cfg_attr(not(test), no_std)]

mod assembler;
mod board;
mod frame;
mod message;
mod station;

pub use assembler::{Assembler, Whole};
pub use board::BoardLink;
pub use frame::{Encoder, LONGEST_FRAME, Received, Receiver, VERSION};
pub use message::{CHUNK, Counters, EventAt, FromBoard, Hello, RecordHead, ToBoard};
pub use station::Station;
