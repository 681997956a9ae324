//! Recordings of every format, as blocks of samples.
//!
//! [`open`] tells the format and reads the header; what it returns is read block by block, with
//! buffers of a fixed size, so that a recording may be larger than the memory or have no end.
//!
//! ```text
//! bytes (file, pipe, device) ─► header ─► layout ─► conversion ─► planes, one a channel
//! ```
//!
//! Not supported: compressed recordings, archives (NPZ, `SigMF` archives), complex NPY.

mod binary;
mod csv;
mod decode;
mod detect;
mod npy;
mod open_file;
mod planes;
mod raw;
mod reader;
mod sample_type;
mod sigmf;
mod source;
mod wav;

#[cfg(test)]
mod tests;

use std::io::Read;
use std::path::Path;

pub use decode::Native;
pub use detect::Format;
pub use open_file::is_being_read;
pub use planes::Planes;
pub use reader::Reader;
pub use sample_type::{Kind, SampleType};

use stillwave::Scale;

use crate::error::Error;
use source::Source;

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

/// What a file says about one of its channels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Channel {
    /// Its name.
    pub name: Option<String>,
    /// How its values become volts, where the file says so.
    pub scale: Option<Scale>,
    /// Whether its values are a converter's counts, in text.
    pub counts: bool,
    /// The least and the largest value of signed integers, up to the first negative ones; none of a
    /// stream.
    pub seen: Option<(i64, i64)>,
    /// The column of text, from 1, whose values are taken for counts though nothing says so.
    pub guessed: Option<usize>,
}

impl Channel {
    /// Whether its values show that a converter of so many bits counts from 0, though the file's
    /// type has a sign: none is negative, and some are more than that sign would leave room for.
    pub(crate) fn counts_from_zero(&self, bits: u32) -> bool {
        let fits =
            |(least, most): (i64, i64)| least < 0 || most < 1 << bits.saturating_sub(1).min(62);
        self.seen.is_some_and(|seen| !fits(seen))
    }

    /// Its name without the unit, where it ends with one: those who write volts, or counts, say so
    /// themselves.
    pub fn bare_name(&self) -> Option<&str> {
        let name = self.name.as_deref()?;
        Some(if self.scale.is_some() || self.counts { csv::without_unit(name) } else { name })
    }
}

/// What is known of a recording.
#[derive(Debug, Clone)]
pub struct Info {
    /// The file's name, for messages.
    pub name: String,
    /// Its format.
    pub format: Format,
    /// What its samples look like in the file.
    pub sample_type: SampleType,
    /// All its channels, read or not.
    pub channels: Vec<Channel>,
    /// Samples a second.
    pub rate: Option<f64>,
    /// How many samples each channel has, where that is known beforehand.
    pub frames: Option<u64>,
    /// The time of the first sample, in seconds.
    pub start_time: f64,
    /// What the user should be told; see [`Reader::take_notices`].
    pub notices: Vec<String>,
}

impl Info {
    fn new(source: &Source, format: Format, sample_type: SampleType, channels: usize) -> Self {
        Self {
            name: source.name().to_owned(),
            format,
            sample_type,
            channels: vec![Channel::default(); channels.min(binary::MAX_CHANNELS + 1)],
            rate: None,
            frames: None,
            start_time: 0.0,
            notices: Vec::new(),
        }
    }

    /// What was assumed of the channels read, for those who do not say more.
    pub(crate) fn guesses(&self, selected: &[usize]) -> Option<String> {
        let column = |&channel: &usize| self.channels.get(channel)?.guessed;
        let columns: Vec<String> =
            selected.iter().filter_map(column).map(|column| column.to_string()).collect();
        let (hold, name) = match &columns[..] {
            [] => return None,
            [one] => (format!("column {one} holds"), "it"),
            _ => (format!("columns {} hold", columns.join(", ")), "them"),
        };
        Some(format!(
            "{}: {hold} whole numbers without a unit: taken for counts; for volts name {name} with \
             the unit, such as \"mains (V)\"",
            self.name
        ))
    }

    /// Settles the rate and the channels to read.
    fn select(&mut self, options: &OpenOptions) -> Result<Vec<usize>, Error> {
        if let Some(rate) = options.rate {
            if let Some(own) = self.rate.filter(|own| (own / rate - 1.0).abs() > 1e-6) {
                self.notices
                    .push(format!("the file states {own} samples a second; --rate {rate} is used"));
            }
            self.rate = Some(rate);
        }
        let count = self.channels.len();
        let Some(wanted) = &options.channels else {
            return Ok((0..count).collect());
        };
        match wanted.iter().find(|channel| **channel >= count) {
            None => Ok(wanted.clone()),
            Some(channel) => Err(Error::usage(
                format!("{}: there is no channel {}", self.name, channel.saturating_add(1)),
                match count {
                    1 => "it has one channel".to_owned(),
                    _ => format!("choose from 1 to {count}"),
                },
            )),
        }
    }
}

/// An open recording, by the type in which its samples arrive.
pub enum Recording {
    /// 8-bit unsigned.
    U8(Reader<u8>),
    /// 8-bit signed.
    I8(Reader<i8>),
    /// 16-bit unsigned.
    U16(Reader<u16>),
    /// 16-bit signed.
    I16(Reader<i16>),
    /// 32-bit unsigned.
    U32(Reader<u32>),
    /// 32-bit signed, and packed 24-bit.
    I32(Reader<i32>),
    /// 32-bit floating-point, and whatever was narrowed to it.
    F32(Reader<f32>),
}

/// Evaluates an expression with the reader of a [`Recording`], whatever its sample type.
///
/// ```
/// # use stillwave_cli::{input::Recording, with_reader};
/// fn frames(recording: &Recording) -> Option<u64> {
///     with_reader!(recording, reader => reader.info().frames)
/// }
/// ```
#[macro_export]
macro_rules! with_reader {
    ($recording:expr, $reader:ident => $body:expr) => {
        match $recording {
            $crate::input::Recording::U8($reader) => $body,
            $crate::input::Recording::I8($reader) => $body,
            $crate::input::Recording::U16($reader) => $body,
            $crate::input::Recording::I16($reader) => $body,
            $crate::input::Recording::U32($reader) => $body,
            $crate::input::Recording::I32($reader) => $body,
            $crate::input::Recording::F32($reader) => $body,
        }
    };
}

impl Recording {
    /// What is known of the recording.
    pub fn info(&self) -> &Info {
        with_reader!(self, reader => reader.info())
    }

    /// Takes the notices that have come up; see [`Reader::take_notices`].
    pub fn take_notices(&mut self) -> Vec<String> {
        with_reader!(self, reader => reader.take_notices())
    }
}

/// Opens a recording; `-` is the standard input.
///
/// # Errors
///
/// Where there is no such file, its header breaks its format, it holds less than its header
/// promises, or the options do not fit it.
pub fn open(path: &Path, options: &OpenOptions) -> Result<Recording, Error> {
    let mut recording = open_again(path, options)?;
    match &mut recording {
        Recording::I8(reader) => reader.look(),
        Recording::I16(reader) => reader.look(),
        Recording::I32(reader) => reader.look(),
        Recording::U8(_) | Recording::U16(_) | Recording::U32(_) | Recording::F32(_) => {}
    }
    Ok(recording)
}

/// Opens a recording whose values have been looked at.
pub(crate) fn open_again(path: &Path, options: &OpenOptions) -> Result<Recording, Error> {
    if sigmf::is_named(path) && options.format.is_none_or(|format| format == Format::SigMf) {
        return sigmf::open(path, options);
    }
    open_source(Source::open(path)?, path, options)
}

/// Opens a recording that arrives as a stream; `name` is for messages.
///
/// # Errors
///
/// As [`open`]; and what needs its source wound back cannot be read.
pub fn open_stream(
    stream: Box<dyn Read + Send>,
    name: &str,
    options: &OpenOptions,
) -> Result<Recording, Error> {
    open_source(Source::stream(name, stream), Path::new("-"), options)
}

fn open_source(mut source: Source, path: &Path, options: &OpenOptions) -> Result<Recording, Error> {
    let format = detect::format(&mut source, path, options)?;
    detect::check_options(format, options)?;
    match format {
        Format::Raw => raw::open(source, options),
        Format::Wav => wav::open(source, options),
        Format::Npy => npy::open(source, options),
        Format::Csv => csv::open(source, options),
        Format::SigMf => sigmf::open(path, options),
    }
}
