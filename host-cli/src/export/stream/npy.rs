//! NPY: the header is written anew when the length is known.

use std::io::{Seek, SeekFrom};
use std::path::Path;

use super::super::npy::{header, interleave};
use super::super::{Context, Samples, WholeFile};
use crate::error::Error;

pub(super) struct Writer {
    file: WholeFile,
    kind: Samples,
    channels: usize,
}

impl Writer {
    pub(super) fn create(
        path: &Path,
        channels: &[Samples],
        context: &Context,
    ) -> Result<Self, Error> {
        let mut file = WholeFile::create(path, context.overwrite)?;
        let kind = channels.first().map_or(Samples::F32(Vec::new()), Samples::emptied);
        // As long as that of any length.
        file.put(&header(&kind, u64::MAX, channels.len()))?;
        Ok(Self { file, kind, channels: channels.len() })
    }

    pub(super) fn put(&mut self, channels: &[Samples], frames: usize) -> Result<(), Error> {
        interleave(channels, frames, |bytes| self.file.put(bytes))
    }

    pub(super) fn finish(mut self, frames: u64) -> Result<(), Error> {
        self.file.seek(SeekFrom::Start(0)).map_err(|source| self.file.error(source))?;
        self.file.put(&header(&self.kind, frames, self.channels))?;
        self.file.finish()
    }
}
