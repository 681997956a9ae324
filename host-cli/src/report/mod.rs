//! Results written for people and for programs.

mod event_row;
mod events;
mod measurements;
mod summary;

pub use event_row::EventRow;
pub use events::EventReport;
pub use measurements::{MeasurementReport, Place, calibrated};
pub use summary::{heading, quality_notes, record_summary, scan_summary};
