//! Results written for people and for programs.

mod events;
mod measurements;
mod summary;

pub use events::{EventReport, EventRow};
pub use measurements::{MeasurementReport, Place, calibrated};
pub use summary::{heading, quality_notes, record_summary, scan_summary};
