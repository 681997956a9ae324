//! What is measured, one kernel a file. Each takes a block of samples and returns
//! something that depends on all of them.

mod acquire;
mod edge;
mod latch;
mod monitor;
mod pulse;

pub use acquire::acquire;
pub use edge::edge;
pub use latch::latch;
pub use monitor::monitor;
pub use pulse::pulse;
