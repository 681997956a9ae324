//! What a chip and a PC must answer alike.
//!
//! ```text
//! cases: settings, signals, block lengths ─► the engine on this machine ─► answers
//! ```
//!
//! [`answer`] runs a [`Case`] and gives every event, record, measurement and output of a decimator
//! as an [`Answer`]. The program of this crate does so on a chip for a whole file of cases, the
//! tests do so on a PC, and compare. [`measures`] and [`decimation`] do the same with signals that
//! are made on the spot or come from elsewhere.

#![no_std]

mod answer;
mod case;
pub mod decimation;
pub mod measures;
mod run;

pub use answer::Answer;
pub use case::{Act, CHANNELS, Case, HEAD, Kind, Preface, RECORD_ROOM, SAMPLE_ROOM, Wire};
pub use run::answer;
