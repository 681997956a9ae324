//! What the user says about a recording.

use super::format::Format;
use super::sample_type::SampleType;

/// What the user says about a recording; everything may be left open.
#[derive(Debug, Clone, Default)]
pub struct OpenOptions {
    /// The format (`--input-format`).
    pub format: Option<Format>,
    /// The sample type of raw data (`--sample-type`).
    pub sample_type: Option<SampleType>,
    /// How many channels raw data have (`--channels`); one unless stated.
    pub channel_count: Option<usize>,
    /// Samples a second (`--rate`); overrides the file's own.
    pub rate: Option<f64>,
    /// How many bytes to leave out before raw data (`--skip-bytes`).
    pub skip_bytes: u64,
    /// The channels to read, counted from 0, in this order; all unless stated.
    pub channels: Option<Vec<usize>>,
    /// What separates the columns of CSV (`--delimiter`).
    pub delimiter: Option<u8>,
    /// The CSV column that holds the time, counted from 0 (`--time-column`).
    pub time_column: Option<usize>,
}
