//! Acquisition: records of samples before and after an event.

mod acquisition;
mod record;
mod recorder;
mod ring;
mod shape;

pub use acquisition::{Acquisition, Counters};
pub use record::Record;
pub use recorder::Recorder;
pub use shape::{Mode, RecordShape};
