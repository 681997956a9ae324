//! A recording that can be gone through several times, in bounded memory.

use std::any::Any;
use std::ops::ControlFlow;

use stillwave::Sample;
use stillwave::suggest::Replay;

use crate::args::InputArgs;
use crate::calibration::Calibration;
use crate::error::{Error, Place};
use crate::input::{self, Reader};
use crate::quantity::format_si;
use crate::stream::{self, Read};
use crate::{interrupt, note, with_reader};

/// What is held in memory at most: a longer file is read anew for each look, of a longer stream the
/// beginning is looked at.
const MOST_BYTES: usize = 32 << 20;

/// The samples of some channels, or where to read them again.
pub struct Held<'a, T> {
    input: &'a InputArgs,
    /// The channels, counted from 0.
    channels: Vec<usize>,
    /// Their samples, where there is room for all.
    samples: Option<Vec<Vec<T>>>,
    /// What the first look came to.
    pub read: Read,
}

impl<'a, T: Sample> Held<'a, T> {
    /// Reads the channels of a reader, as far as there is room for them.
    ///
    /// # Errors
    /// As the reader.
    pub fn new(
        input: &'a InputArgs,
        reader: &mut Reader<T>,
        calibration: &Calibration,
    ) -> Result<Self, Error> {
        let channels = reader.selected().to_vec();
        let most = MOST_BYTES / size_of::<T>() / channels.len().max(1);
        let mut samples = vec![Vec::new(); channels.len()];
        let mut is_whole = true;
        let is_file = input.file.metadata().is_ok_and(|kind| kind.is_file());
        let read = stream::blocks(reader, calibration, 0, &mut |block| {
            let room = most - samples.first().map_or(0, Vec::len);
            for (held, new) in samples.iter_mut().zip(block) {
                held.extend_from_slice(new.get(..room).unwrap_or(new));
                is_whole &= new.len() <= room;
            }
            // All of a file is looked at later; what it lacks is counted now.
            Ok(if is_whole || is_file {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(room)
            })
        })?;
        if !is_whole && !is_file {
            let length = match calibration.rate {
                Some(rate) => format!(", {}", format_si(most as f64 / rate, "s", 4)),
                None => String::new(),
            };
            note::one(format_args!(
                "the stream is longer than there is room for: this is of its first {most} \
                 samples{length}"
            ));
        }
        let samples = (is_whole || !is_file).then_some(samples);
        Ok(Self { input, channels, samples, read })
    }

    /// The channels, counted from 0.
    pub fn channels(&self) -> &[usize] {
        &self.channels
    }

    /// One of the channels, by its place among them.
    pub fn signal(&self, index: usize) -> Signal<'_, T> {
        Signal {
            input: self.input,
            channel: self.channels.get(index).copied().unwrap_or(0),
            held: self.samples.as_ref().map(|held| held.get(index).map_or(&[][..], Vec::as_slice)),
        }
    }
}

/// One channel of a recording.
pub struct Signal<'a, T> {
    input: &'a InputArgs,
    channel: usize,
    held: Option<&'a [T]>,
}

impl<T: Sample> Replay<T> for Signal<'_, T> {
    type Error = Error;

    fn replay(&mut self, mut each: impl FnMut(&[T])) -> Result<(), Error> {
        if let Some(samples) = self.held {
            each(samples);
            return Ok(());
        }
        let options = self.input.open_options(Some(vec![self.channel]))?;
        let recording = input::open_again(&self.input.file, &options)?;
        let reader: Box<dyn Any> = with_reader!(recording, reader => Box::new(reader));
        let mut reader = reader.downcast::<Reader<T>>().map_err(|_| {
            let name = self.input.file.display().to_string();
            Error::input(name, Place::Whole, "it has changed while it was read", "try again")
        })?;
        let mut planes = reader.planes();
        while !interrupt::came() && reader.read(&mut planes)? > 0 {
            each(planes.channel(0));
        }
        Ok(())
    }
}
