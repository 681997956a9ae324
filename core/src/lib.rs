//! Stillwave makes a waveform stand still: software triggers, records and measurements for samples
//! of a voltage over time. A microcontroller and a PC give the same results, bit for bit.
//!
//! ```text
//! samples ─► scaling, coupling ─► comparator ─► condition ─► holdoff ─► acquisition ─► measurement
//! (blocks)   Scale    Coupling    Level         Edge, Pulse  Holdoff    RecordShape    expectation
//!            Monitor  Inputs      Comparator    Condition    Trigger    Acquisition    measure, expect
//!        └─► decimation ─► (the same again, or a picture)
//!            decimate
//! ```
//!
//! Data flows one way. Each stage takes blocks of any length and keeps a small state of fixed size;
//! its results do not depend on how the stream is split into blocks. A configuration is checked
//! once, when a stage is made from it; the code that runs per sample cannot fail.
//!
//! # Cautions
//!
//! The signals that this library measures can be dangerous. The ground of a probe, and of a board
//! on a USB cable, may be connected to mains earth: connect it to ground only, never to a live
//! node. Stay within the ratings of probe and input. For mains and other dangerous voltages, use an
//! isolating differential probe that is rated for them, and follow local codes; where they require
//! a licensed person, leave the work to one.
//!
//! # In firmware
//!
//! ```
//! use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Slope, Trigger};
//!
//! # fn main() -> Result<(), stillwave::ConfigError> {
//! # let mut shown = 0;
//! # let mut show = |record: &[u16]| shown += record.len();
//! # let signal: Vec<u16> = (0..4096).map(|i| (i % 100) * 40).collect();
//! # let dma_halves = signal.chunks(256);
//! // 12-bit counts: rising through mid-scale, half a volt of hysteresis at 3.3 V.
//! let edge = Edge::new(Slope::Rising, Level::<u16>::new(2048, 620)?)?;
//! let trigger = Trigger::new(edge, Holdoff::Samples(500))?;
//! let shape = RecordShape::new(64, 192)?;
//! let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; 256])?;
//!
//! for half in dma_halves {
//!     acquisition.push(half, |record| show(record.samples()));
//! }
//! # assert_eq!(shown, 256 * 7);
//! # Ok(())
//! # }
//! ```
//!
//! # What holds everywhere
//!
//! - No heap, no `unsafe`, no panic on any input.
//! - Integer samples are processed with integer arithmetic only, so that a chip without floating
//!   point gives the same results as a PC; `f32` samples are compared as they are.
//! - Samples that are not finite are on no side of a level and change nothing.
//! - A gap in the stream disarms conditions and abandons a record in progress; positions keep
//!   counting.
//! - Levels and hysteresis are in the samples' own unit, spans in 1/65536 of a sample, positions
//!   and lengths in whole samples. [`Scale`] turns counts into volts. A sample rate in samples a
//!   second, which the caller keeps, turns samples into seconds.
//!
//! # Features
//!
//! - `std`: detects the processor's widest vectors at run time (the results are the same).
//! - `exhaustive`: `Setup`, `Composition`, `Qualifiable`, `EventKind` and `measure::Doubt` lose
//!   `#[non_exhaustive]`. A program that must handle every condition then fails to compile when one is
//!   added; so depend on one exact version (`=0.1.0`).
//! - `serde`, `defmt`: serialisation and logging of configurations, and of most results.
//!
//! # Not supported
//!
//! Repetitive (equivalent-time) sampling, and unequally spaced samples: a stream has one rate.
#![no_std]

#[cfg(any(test, feature = "std"))]
extern crate std;

mod acquire;
mod ahead;
mod block;
mod compare;
mod condition;
mod couple;
pub mod decimate;
mod error;
pub mod expect;
mod holdoff;
pub mod measure;
pub mod near;
mod sample;
mod scale;
pub mod suggest;
mod time;
mod trigger;
mod vectors;

pub use acquire::{Acquisition, Counters, Mode, Record, RecordShape, Recorder};
pub use block::Block;
pub use compare::{Band, Comparator, Crossing, Level, Slope};
pub use condition::*;
pub use couple::{Corner, Coupling};
pub use error::ConfigError;
pub use holdoff::Holdoff;
pub use sample::{MaybeFormat, MaybeSerialize, Sample};
pub use scale::{Monitor, Quality, Scale};
pub use time::{Instant, PARTS_PER_SAMPLE, Span, samples_in, whole_samples};
pub use trigger::Trigger;
