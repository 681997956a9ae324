//! What is measured, one kernel a file. Each takes a block of samples and returns
//! something that depends on all of them.

mod acquire;
mod both;
mod catalogue;
mod conditions;
mod coupled;
mod decimate;
mod edge;
mod edge8;
mod latch;
mod measure;
mod monitor;
mod pulse;

pub use acquire::acquire;
pub use both::both;
pub use catalogue::catalogue;
pub use conditions::{dropout, interval, runt, transition, window};
pub use coupled::coupled;
pub use decimate::{average, boxcar, boxcar8, cic, envelope, envelope8, every, fir};
pub use edge::edge;
pub use edge8::edge8;
pub use latch::latch;
pub use measure::measure;
pub use monitor::monitor;
pub use pulse::pulse;
