//! Results written for people and for programs.

mod check;
mod event_row;
mod events;
mod junit;
mod measurements;
mod suggestion;
mod summary;

pub use check::{CheckReport, Checked, words};
pub use event_row::EventRow;
pub use events::EventReport;
pub use junit::write_junit;
pub use measurements::{MeasurementReport, Place};
pub use suggestion::SuggestionReport;
pub use summary::{
    heading, no_record, no_record_note, quality_notes, record_heading, record_summary, recording,
    recording_channel, scan_summary,
};
