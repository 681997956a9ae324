//! A whole recording written as it comes, of any length, in memory that does not grow.

mod csv;
mod npy;
mod wav;

pub use csv::Times;

use std::path::{Path, PathBuf};

use super::{Context, Samples, SigmfWriter};
use crate::args::RecordFormat;
use crate::error::Error;

/// Writes channels block by block; the file appears on [`finish`](Self::finish).
pub struct StreamWriter {
    path: PathBuf,
    kind: Kind,
    frames: u64,
}

enum Kind {
    Csv(csv::Writer),
    Npy(npy::Writer),
    Sigmf(Box<SigmfWriter>),
    Wav(wav::Writer),
}

impl StreamWriter {
    /// Begins a file for channels like these, which are empty.
    ///
    /// # Errors
    ///
    /// Where the file is there already or cannot be written, or cannot hold such samples.
    pub fn create(
        path: &Path,
        format: RecordFormat,
        channels: &[Samples],
        times: Times,
        context: &Context,
    ) -> Result<Self, Error> {
        let kind = match format {
            RecordFormat::Csv => Kind::Csv(csv::Writer::create(path, channels, times, context)?),
            RecordFormat::Npy => Kind::Npy(npy::Writer::create(path, channels, context)?),
            RecordFormat::Sigmf => Kind::Sigmf(Box::new(SigmfWriter::create(path, context)?)),
            RecordFormat::Wav => Kind::Wav(wav::Writer::create(path, channels, context)?),
        };
        Ok(Self { path: path.to_owned(), kind, frames: 0 })
    }

    /// What the format cannot say, for the user to be told.
    pub fn notices(&self) -> &[String] {
        match &self.kind {
            Kind::Wav(writer) => &writer.notices,
            _ => &[],
        }
    }

    /// How many samples each channel has so far.
    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// Adds samples, as many to each channel.
    ///
    /// # Errors
    ///
    /// Where the file cannot be written, or holds no more.
    pub fn put(&mut self, channels: Vec<Samples>) -> Result<(), Error> {
        let frames = channels.iter().map(Samples::len).min().unwrap_or(0);
        if frames == 0 {
            return Ok(());
        }
        match &mut self.kind {
            Kind::Csv(writer) => writer.put(&channels, frames, self.frames)?,
            Kind::Npy(writer) => writer.put(&channels, frames)?,
            Kind::Sigmf(writer) => writer.extend(channels)?,
            Kind::Wav(writer) => writer.put(&channels, frames)?,
        }
        self.frames += frames as u64;
        Ok(())
    }

    /// Completes the file; its name, or names.
    ///
    /// # Errors
    ///
    /// As [`put`](Self::put).
    pub fn finish(self) -> Result<String, Error> {
        match self.kind {
            Kind::Csv(writer) => writer.finish()?,
            Kind::Npy(writer) => writer.finish(self.frames)?,
            Kind::Sigmf(writer) => {
                let (data, meta) = writer.finish()?;
                return Ok(format!("{} and {}", meta.display(), data.display()));
            }
            Kind::Wav(writer) => writer.finish()?,
        }
        Ok(self.path.display().to_string())
    }
}
