//! WAV, for programs that edit sound.

use std::io::{Seek, Write};
use std::path::Path;

use hound::{SampleFormat, WavSpec, WavWriter};

use super::{Context, OwnedRecord, Samples, WholeFile, check};
use crate::error::Error;

/// What a WAV file's length fields can hold, less room for its header.
pub(super) const MAX_BYTES: u64 = u32::MAX as u64 - 1024;

/// Writes a record as WAV, and returns what the user should be told.
///
/// 8-bit samples become unsigned and wider ones signed, as WAV has no others: `i8` is stored with
/// 128 added, `u16` with 2^15 and `u32` with 2^31 subtracted. The rate is rounded to whole samples
/// a second.
///
/// # Errors
///
/// Where there is no rate or one beyond what WAV can hold, the record has too many channels or
/// samples, or the file is there already or cannot be written.
pub fn wav(record: &OwnedRecord, path: &Path, context: &Context) -> Result<Vec<String>, Error> {
    let name = path.display().to_string();
    check(&name, record)?;
    let mut notices = Vec::new();
    let spec = specification(&name, &record.channels, context, &mut notices)?;
    let frame_bytes = u64::from(spec.bits_per_sample / 8) * u64::from(spec.channels);
    if frame_bytes.saturating_mul(record.len() as u64) > MAX_BYTES {
        return Err(Error::usage(
            format!("{name}: the record is longer than WAV can hold (4 GiB)"),
            "write NPY or SigMF instead",
        ));
    }
    let mut file = WholeFile::create(path, context.overwrite)?;
    write(record, spec, &mut file).map_err(|error| match error {
        hound::Error::IoError(source) => file.error(source),
        other => file.error(std::io::Error::other(other)),
    })?;
    file.finish()?;
    Ok(notices)
}

/// What the header says of channels like these.
pub(super) fn specification(
    name: &str,
    channels: &[Samples],
    context: &Context,
    notices: &mut Vec<String>,
) -> Result<WavSpec, Error> {
    let sample_rate = whole_rate(name, context.rate, notices)?;
    let count = u16::try_from(channels.len()).map_err(|_| {
        Error::usage(format!("{name}: too many channels for WAV"), "choose some with --channels")
    })?;
    let first = channels.first();
    notices.extend(first.and_then(shift).map(|shift| format!("{name}: {shift}")));
    let is_float = first.is_some_and(Samples::is_float);
    Ok(WavSpec {
        channels: count,
        sample_rate,
        bits_per_sample: 8 * first.map_or(4, Samples::sample_bytes) as u16,
        sample_format: if is_float { SampleFormat::Float } else { SampleFormat::Int },
    })
}

fn write(record: &OwnedRecord, spec: WavSpec, file: &mut WholeFile) -> Result<(), hound::Error> {
    let mut writer = WavWriter::new(file, spec)?;
    put(&mut writer, &record.channels, record.len())?;
    writer.finalize()
}

/// Writes samples of all channels.
pub(super) fn put<W: Write + Seek>(
    writer: &mut WavWriter<W>,
    channels: &[Samples],
    frames: usize,
) -> Result<(), hound::Error> {
    for index in 0..frames {
        for channel in channels {
            match channel {
                Samples::F32(samples) => writer.write_sample(*samples.get(index).unwrap_or(&0.0)),
                integers => writer.write_sample(stored(integers, index).unwrap_or(0)),
            }?;
        }
    }
    Ok(())
}

/// An integer sample as the library takes it: signed, also where WAV's own is unsigned.
fn stored(samples: &Samples, index: usize) -> Option<i32> {
    // To flip the highest bit is to subtract half the range.
    Some(match samples {
        Samples::U8(samples) => i32::from(*samples.get(index)?) - (1 << 7),
        Samples::I8(samples) => i32::from(*samples.get(index)?),
        Samples::U16(samples) => i32::from(*samples.get(index)?) - (1 << 15),
        Samples::I16(samples) => i32::from(*samples.get(index)?),
        Samples::U32(samples) => (samples.get(index)? ^ (1 << 31)) as i32,
        Samples::I32(samples) => *samples.get(index)?,
        Samples::F32(_) => return None,
    })
}

/// What WAV makes of a count of 0.
pub(crate) fn wav_zero(samples: &Samples) -> f64 {
    match samples {
        Samples::I8(_) => 128.0,
        Samples::U16(_) => -32_768.0,
        Samples::U32(_) => -2_147_483_648.0,
        _ => 0.0,
    }
}

/// What was done to samples of a type that WAV lacks.
fn shift(samples: &Samples) -> Option<String> {
    let (kind, shift) = match samples {
        Samples::I8(_) => ("signed 8", "128 was added to"),
        Samples::U16(_) => ("unsigned 16", "32768 was subtracted from"),
        Samples::U32(_) => ("unsigned 32", "2147483648 was subtracted from"),
        _ => return None,
    };
    Some(format!(
        "WAV has no {kind}-bit samples: {shift} every count, so that levels in counts, and --bits with \
         --vref, mean something else there; NPY and SigMF keep counts"
    ))
}

/// The rate in whole samples a second, which is all that WAV can say.
fn whole_rate(name: &str, rate: Option<f64>, notices: &mut Vec<String>) -> Result<u32, Error> {
    let Some(rate) = rate else {
        return Err(Error::usage(
            format!("{name}: WAV needs a sample rate, and none is known"),
            "give --rate, or write NPY",
        ));
    };
    let whole = rate.round();
    if !(1.0..=f64::from(u32::MAX)).contains(&whole) {
        return Err(Error::usage(
            format!("{name}: WAV cannot state {rate} samples a second"),
            "write CSV, NPY or SigMF instead",
        ));
    }
    if whole != rate {
        notices.push(format!("{name}: {rate} samples a second were rounded to {whole} for WAV"));
    }
    Ok(whole as u32)
}
