//! Scaling: counts to volts and back, and how many samples were clipped or not finite.

mod converter;
mod monitor;

pub use converter::Scale;
pub use monitor::{Monitor, Quality};
