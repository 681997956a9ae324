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
mod format;
mod info;
mod npy;
mod open_file;
mod options;
mod planes;
mod raw;
mod reader;
mod recording;
mod sample_type;
mod sigmf;
mod source;
mod title;
mod wav;

#[cfg(test)]
mod tests;

use std::io::Read;
use std::path::Path;

pub use decode::Native;
pub use format::Format;
pub use info::{Channel, Info};
pub use open_file::is_being_read;
pub use options::OpenOptions;
pub use planes::Planes;
pub use reader::Reader;
pub use recording::Recording;
pub use sample_type::{Kind, SampleType};

use crate::error::Error;
use source::Source;

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
