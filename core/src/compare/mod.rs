//! Comparator: a level with hysteresis turns samples into crossings.
//!
//! Everything that depends on a level stands on the one [`Comparator`] here, so all of it is as
//! fast as its scan, and conditions see crossings, never samples.

mod comparator;
mod level;
mod scan;

pub use comparator::{Comparator, Crossing, Slope};
pub use level::Level;
