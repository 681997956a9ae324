//! Results written for people and for programs.

mod events;
mod summary;

pub use events::{EventReport, EventRow};
pub use summary::{heading, quality_notes, record_summary, scan_summary};
