//! Measurement: what a record's samples come to.
//!
//! [`measure`] takes a record (a slice of samples, as a [`Record`](crate::Record) lends it) and
//! gives all basic [`Measurements`] at once; a [`Meter`] does so as configured; [`Statistics`] and
//! [`StateLevels`] are for those who need no more. Values are in counts and samples, and in volts
//! and seconds by [`Measurements::scaled`] and [`Measurements::timed`].
//!
//! Every value is a [`Value`]: a number, or the [`Reason`] why the record does not give it.
//!
//! Everything that depends on a level stands on the engine's one [`Comparator`](crate::Comparator).
//! Integer samples are handled in integers up to the last step, so that a chip gives what a PC
//! gives. No measurement takes more than 1 KiB of stack.

mod config;
mod cycles;
mod delay;
mod factors;
mod gate;
mod histogram;
mod levels;
mod linear;
mod meter;
mod number;
mod reason;
mod running;
mod shape;
mod sine;
mod states;
mod statistics;
mod threshold;
mod timing;
mod transition;

pub use config::{Config, References};
pub use delay::Delay;
pub use factors::{Factors, area};
pub use gate::gate;
pub use levels::{LevelMethod, StateLevels};
pub use meter::{Measurements, Meter, measure};
pub use reason::{Reason, Value};
pub use running::Running;
pub use shape::EdgeShape;
pub use sine::SineFit;
pub use statistics::{Statistics, ac_rms, mean, rms};
pub use timing::Timing;
pub use transition::{Transition, Transitions};

#[cfg(test)]
mod tests;
