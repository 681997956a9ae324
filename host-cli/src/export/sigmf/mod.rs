//! `SigMF`: all records as one recording, and what is known of them beside it.

mod kept;
mod metadata;

use std::path::{Path, PathBuf};

use stillwave::Instant;

use self::kept::{Kept, Taken, Whole};
use self::metadata::{Global, Metadata};
use super::npy::interleave;
use super::{Context, OwnedRecord, Samples, WholeFile, check};
use crate::error::Error;

/// Writes records one after the other into `NAME.sigmf-data`, then `NAME.sigmf-meta`.
///
/// Each record is a capture, whose global index is its position in the stream it was taken from;
/// each event is an annotation, over the samples from where what happened began, as far as they
/// are in the record. Both files appear on [`finish`](Self::finish) alone, as one.
pub struct SigmfWriter {
    data_path: PathBuf,
    meta_path: PathBuf,
    data: WholeFile,
    meta: WholeFile,
    context: Context,
    /// No samples, of the type that all have; and how many channels they have.
    layout: Option<(Samples, usize)>,
    taken: Kept,
    /// How many frames are in the data file.
    frames: u64,
}

impl SigmfWriter {
    /// Begins a recording. Of `path` the ending is replaced if it is one of `SigMF`'s, and
    /// completed otherwise.
    ///
    /// # Errors
    ///
    /// Where one of the files is there already or cannot be written.
    pub fn create(path: &Path, context: &Context) -> Result<Self, Error> {
        let (data_path, meta_path) = names(path);
        let data = WholeFile::create(&data_path, context.overwrite)?;
        let taken = Kept::new(data.folder()).map_err(|fault| data.error(fault))?;
        Ok(Self {
            data,
            meta: WholeFile::create(&meta_path, context.overwrite)?,
            data_path,
            meta_path,
            context: context.clone(),
            layout: None,
            taken,
            frames: 0,
        })
    }

    /// Adds a record.
    ///
    /// # Errors
    ///
    /// Where its channels are not those of the first record, or the data cannot be written.
    pub fn add(&mut self, record: &OwnedRecord) -> Result<(), Error> {
        self.put(record, false)
    }

    /// Adds samples that follow those before without a break: one capture, without events.
    ///
    /// # Errors
    ///
    /// As [`add`](Self::add).
    pub fn extend(&mut self, channels: Vec<Samples>) -> Result<(), Error> {
        let start = self.frames;
        let at = Instant::at(start);
        self.put(&OwnedRecord { number: 0, start, at, event: None, channels }, true)
    }

    /// Adds a record, which may continue the one before.
    fn put(&mut self, record: &OwnedRecord, continues: bool) -> Result<(), Error> {
        let name = self.data_path.display().to_string();
        check(&name, record)?;
        let Some(first) = record.channels.first() else { return Ok(()) };
        let count = record.channels.len();
        let (kind, channels) = self.layout.get_or_insert_with(|| (first.emptied(), count));
        if !kind.is_same_type(first) || *channels != count {
            return Err(Error::usage(
                format!(
                    "{name}: a record has {count} channels of {first}, \
                     the first has {channels} of {kind}"
                ),
                "write them to recordings of their own",
            ));
        }
        let data = &mut self.data;
        interleave(&record.channels, record.len(), |bytes| data.put(bytes))?;
        let (first, frames) = (self.frames, record.len() as u64);
        if !(continues && self.taken.lengthen(frames)) {
            let taken = Taken { first, frames, start: record.start, event: record.event };
            self.taken.add(taken).map_err(|fault| self.meta.error(fault))?;
        }
        self.frames += frames;
        Ok(())
    }

    /// Completes both files, and returns their names: data, then metadata.
    ///
    /// # Errors
    ///
    /// Where no record was added (other programs read no empty recordings), or a file cannot be
    /// written; then neither appears.
    pub fn finish(self) -> Result<(PathBuf, PathBuf), Error> {
        if self.frames == 0 {
            return Err(Error::usage(
                format!("{}: there is no sample to write", self.data_path.display()),
                "see what a scan finds",
            ));
        }
        let (data, mut meta) = (self.data.complete()?, self.meta);
        let taken = self.taken.complete().map_err(|fault| meta.error(fault))?;
        let Some(twin) = data.twin(&meta) else {
            // A disk without links: for a moment the data are new and the metadata are not.
            describe(&mut meta, self.layout.as_ref(), &taken, &self.context, None)?;
            let meta = meta.complete()?;
            data.finish()?;
            if let Err(error) = meta.finish() {
                // Data that nothing describes are of no use; the first error is the one to tell.
                let _ = std::fs::remove_file(&self.data_path);
                return Err(error);
            }
            return Ok((self.data_path, self.meta_path));
        };
        // Two names cannot change at once. So the metadata change first and name the data as they
        // are called until then; whatever ends this, metadata and data belong together.
        let mut last = WholeFile::create(&self.meta_path, true)?;
        describe(&mut last, self.layout.as_ref(), &taken, &self.context, None)?;
        let name = data.temporary_name();
        describe(&mut meta, self.layout.as_ref(), &taken, &self.context, Some(name))?;
        // A disk that is full says so before any name changes.
        let (meta, last) = (meta.complete()?, last.complete()?);
        meta.finish()?;
        if let Err(error) = twin.finish() {
            if self.context.overwrite {
                data.leave();
            } else {
                let _ = std::fs::remove_file(&self.meta_path);
            }
            return Err(error);
        }
        if let Err(error) = last.finish() {
            // The metadata that are there name them so.
            data.leave();
            return Err(error);
        }
        Ok((self.data_path, self.meta_path))
    }
}

/// Writes the metadata of data that are called `dataset`, or as the metadata are.
fn describe(
    file: &mut WholeFile,
    layout: Option<&(Samples, usize)>,
    taken: &Whole,
    context: &Context,
    dataset: Option<String>,
) -> Result<(), Error> {
    let global = Global::new(layout, context, dataset);
    let metadata = Metadata::new(global, taken, context.rate);
    serde_json::to_writer_pretty(&mut *file, &metadata)
        .map_err(|error| file.error(error.into()))?;
    file.put(b"\n")
}

/// The names of the data and of the metadata.
fn names(path: &Path) -> (PathBuf, PathBuf) {
    let ending = path.extension().and_then(|ending| ending.to_str());
    let base = match ending {
        Some("sigmf" | "sigmf-data" | "sigmf-meta") => path.with_extension(""),
        _ => path.to_owned(),
    };
    let with = |ending: &str| {
        let mut name = base.clone().into_os_string();
        name.push(ending);
        PathBuf::from(name)
    };
    (with(".sigmf-data"), with(".sigmf-meta"))
}
