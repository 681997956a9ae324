//! WAV: its length fields are set at the end.

use std::io::{self, Seek, SeekFrom, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use hound::WavWriter;

use super::super::wav::{MAX_BYTES, put, specification};
use super::super::{Context, Samples, WholeFile};
use crate::error::Error;

pub(super) struct Writer {
    name: String,
    file: Shared,
    samples: WavWriter<Shared>,
    bytes: u64,
    pub(super) notices: Vec<String>,
}

/// The library's writer keeps its file to itself; this one is ours too, to give it its name.
#[derive(Clone)]
struct Shared(Arc<Mutex<WholeFile>>);

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.lock().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.lock().flush()
    }
}

impl Seek for Shared {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.lock().seek(to)
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, WholeFile> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn error(&self, error: hound::Error) -> Error {
        let file = self.lock();
        match error {
            hound::Error::IoError(source) => file.error(source),
            other => file.error(io::Error::other(other)),
        }
    }
}

impl Writer {
    pub(super) fn create(
        path: &Path,
        channels: &[Samples],
        context: &Context,
    ) -> Result<Self, Error> {
        let name = path.display().to_string();
        let mut notices = Vec::new();
        let spec = specification(&name, channels, context, &mut notices)?;
        let file = Shared(Arc::new(Mutex::new(WholeFile::create(path, context.overwrite)?)));
        let samples = WavWriter::new(file.clone(), spec).map_err(|error| file.error(error))?;
        Ok(Self { name, file, samples, bytes: 0, notices })
    }

    pub(super) fn put(&mut self, channels: &[Samples], frames: usize) -> Result<(), Error> {
        self.bytes += channels.iter().map(|c| (frames * c.sample_bytes()) as u64).sum::<u64>();
        if self.bytes > MAX_BYTES {
            return Err(Error::usage(
                format!("{}: the result is longer than WAV can hold (4 GiB)", self.name),
                "write NPY or SigMF instead",
            ));
        }
        put(&mut self.samples, channels, frames).map_err(|error| self.file.error(error))
    }

    pub(super) fn finish(self) -> Result<(), Error> {
        let Self { file, samples, .. } = self;
        samples.finalize().map_err(|error| file.error(error))?;
        match Arc::try_unwrap(file.0) {
            Ok(file) => file.into_inner().unwrap_or_else(PoisonError::into_inner).finish(),
            // The writer, which had the other, is gone.
            Err(_) => Ok(()),
        }
    }
}
