//! Options that say what a recording is.

use std::path::PathBuf;

use clap::Args;

use crate::error::Error;
use crate::input::{Format, OpenOptions, SampleType};
use crate::quantity::Rate;

/// The recording to read.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Recording")]
pub struct InputArgs {
    /// The recording: WAV, CSV, NPY, `SigMF` or raw samples. Use - for standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Format of the recording [default: detected from content and name]
    #[arg(long, value_name = "FORMAT")]
    pub input_format: Option<Format>,
    /// Type of raw samples: u8, i8, u16le, u16be, i16le, i24le, i32le, f32le, f64le …
    #[arg(long, value_name = "TYPE")]
    pub sample_type: Option<SampleType>,
    /// Sample rate, if the file has none or a wrong one: 1MS/s, 44.1kHz, 48000
    #[arg(long)]
    pub rate: Option<Rate>,
    /// Number of interleaved channels in raw samples [default: 1]
    #[arg(long, value_name = "N")]
    pub channels: Option<usize>,
    /// Number of bytes to skip before raw samples
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub skip_bytes: u64,
    /// Column separator of CSV: one character, or tab [default: detected]
    #[arg(long, value_name = "CHAR")]
    pub delimiter: Option<String>,
    /// CSV column with the time, from 1 [default: found by the header]
    #[arg(long, value_name = "N")]
    pub time_column: Option<usize>,
}

impl InputArgs {
    /// The options for [`crate::input::open`], reading `channels` (counted from 0).
    ///
    /// # Errors
    /// A value that no recording can have.
    pub fn open_options(&self, channels: Option<Vec<usize>>) -> Result<OpenOptions, Error> {
        Ok(OpenOptions {
            format: self.input_format,
            sample_type: self.sample_type,
            channel_count: self.channels,
            rate: self.rate.map(|rate| rate.0),
            skip_bytes: self.skip_bytes,
            channels,
            delimiter: self.delimiter.as_deref().map(delimiter).transpose()?,
            time_column: self.time_column.map(|n| from_one("--time-column", n)).transpose()?,
        })
    }
}

/// A number counted from 1, counted from 0.
///
/// # Errors
/// The number 0.
pub fn from_one(option: &str, number: usize) -> Result<usize, Error> {
    number.checked_sub(1).ok_or_else(|| Error::usage(format!("{option} 0"), "count from 1"))
}

fn delimiter(text: &str) -> Result<u8, Error> {
    match text.as_bytes() {
        [byte] if byte.is_ascii() => Ok(*byte),
        b"tab" | b"\\t" => Ok(b'\t'),
        _ => Err(Error::usage(
            format!("--delimiter \"{text}\" is not one character"),
            "give one such as ; or the word tab",
        )),
    }
}
