//! NPY 1.0, the array format of numerical Python.

use std::path::Path;

use super::{Context, OwnedRecord, Samples, WholeFile, check};
use crate::error::Error;

/// How many bytes are handed on at a time.
const PIECE: usize = 1 << 16;

/// Writes a record as an array of counts: samples × channels, or one dimension for one channel.
///
/// # Errors
///
/// Where the file is there already or cannot be written.
pub fn npy(record: &OwnedRecord, path: &Path, context: &Context) -> Result<(), Error> {
    check(&path.display().to_string(), record)?;
    write(&record.channels, record.len(), path, context.overwrite)
}

/// Writes samples as an array of one dimension.
///
/// # Errors
///
/// Where the file is there already or cannot be written.
pub fn npy_samples(samples: &Samples, path: &Path, overwrite: bool) -> Result<(), Error> {
    write(std::slice::from_ref(samples), samples.len(), path, overwrite)
}

fn write(channels: &[Samples], frames: usize, path: &Path, overwrite: bool) -> Result<(), Error> {
    let Some(first) = channels.first() else { return Ok(()) };
    let mut file = WholeFile::create(path, overwrite)?;
    file.put(&header(first, frames as u64, channels.len()))?;
    interleave(channels, frames, |bytes| file.put(bytes))?;
    file.finish()
}

/// The bytes of all channels, frame by frame, least significant first.
pub(super) fn interleave(
    channels: &[Samples],
    frames: usize,
    mut sink: impl FnMut(&[u8]) -> Result<(), Error>,
) -> Result<(), Error> {
    let mut bytes = Vec::with_capacity(PIECE + 4 * channels.len());
    for index in 0..frames {
        for channel in channels {
            channel.append_bytes(index, &mut bytes);
        }
        if bytes.len() >= PIECE {
            sink(&bytes)?;
            bytes.clear();
        }
    }
    sink(&bytes)
}

pub(super) fn header(samples: &Samples, frames: u64, channels: usize) -> Vec<u8> {
    let kind = match samples {
        Samples::U8(_) => "|u1",
        Samples::I8(_) => "|i1",
        Samples::U16(_) => "<u2",
        Samples::I16(_) => "<i2",
        Samples::U32(_) => "<u4",
        Samples::I32(_) => "<i4",
        Samples::F32(_) => "<f4",
    };
    let shape = match channels {
        1 => format!("({frames},)"),
        _ => format!("({frames}, {channels})"),
    };
    let text = format!("{{'descr': '{kind}', 'fortran_order': False, 'shape': {shape}, }}");
    // Magic, version and length take 10 bytes; the data begin at a multiple of 64.
    let length = (10 + text.len() + 1).next_multiple_of(64) - 10;
    let mut header = b"\x93NUMPY\x01\x00".to_vec();
    header.extend_from_slice(&(length as u16).to_le_bytes());
    header.extend_from_slice(text.as_bytes());
    header.resize(10 + length - 1, b' ');
    header.push(b'\n');
    header
}
