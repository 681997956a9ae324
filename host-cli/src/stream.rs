//! A recording read to its end, block by block.

use stillwave::{Monitor, Quality, Sample};

use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Reader;
use crate::{interrupt, note, progress};

/// What was read.
#[derive(Debug, Clone, Copy, Default)]
pub struct Read {
    /// Samples in each channel.
    pub frames: u64,
    /// What the converter could not say, on the channels watched.
    pub quality: Quality,
}

/// Gives every block to `each`, until the end, Ctrl-C, or `each` wants no more (`false`).
///
/// Clipped and not finite samples are counted on channel `watched` of the blocks.
///
/// # Errors
/// As the reader, and as `each`.
pub fn blocks<T: Sample>(
    reader: &mut Reader<T>,
    calibration: &Calibration,
    watched: usize,
    mut each: impl FnMut(&[&[T]]) -> Result<bool, Error>,
) -> Result<Read, Error> {
    let bar = progress::bar(reader.info().frames);
    let (lowest, highest) = end_codes::<T>(calibration);
    let mut monitor = Monitor::new(lowest, highest)?;
    let mut planes = reader.planes();
    let mut frames = 0;
    note::all(reader.take_notices());
    let outcome = loop {
        if interrupt::came() {
            note::one("interrupted: the rest of the recording was not read");
            break Ok(());
        }
        match reader.read(&mut planes) {
            Ok(0) => break Ok(()),
            Ok(read) => frames += read as u64,
            Err(error) => break Err(error),
        }
        let channels: Vec<&[T]> = planes.channels().collect();
        monitor.push(planes.channel(watched));
        match each(&channels) {
            Ok(true) => bar.set_position(frames),
            Ok(false) => break Ok(()),
            Err(error) => break Err(error),
        }
    };
    bar.finish_and_clear();
    note::all(reader.take_notices());
    outcome.map(|()| Read { frames, quality: monitor.quality() })
}

/// The converter's end codes as samples; the largest numbers for floating point, which has none.
fn end_codes<T: Sample>(calibration: &Calibration) -> (T, T) {
    let sample = |code: f64| T::wide_from_f64(code).and_then(T::at_or_over);
    calibration
        .codes
        .and_then(|(lowest, highest)| Some((sample(lowest)?, sample(highest)?)))
        .unwrap_or((T::MIN, T::MAX))
}
