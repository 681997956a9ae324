//! Scaling: counts to volts and back, and what the converter could not say.

mod converter;
mod monitor;

pub use converter::Scale;
pub use monitor::{Monitor, Quality};
