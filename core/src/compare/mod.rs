//! The comparator turns samples into crossings, by a level with hysteresis.
//!
//! Everything that depends on a level uses the one [`Comparator`] here, so all of it is as fast as
//! its scan. Conditions see crossings, never samples.

mod band;
mod band_comparator;
mod comparator;
mod crossing;
mod level;
pub(crate) mod scan;

pub use band::Band;
pub(crate) use band_comparator::{BandComparator, Passage, Side};
pub use comparator::Comparator;
pub(crate) use crossing::Flip;
pub use crossing::{Crossing, Slope};
pub use level::Level;
