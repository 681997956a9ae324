//! Records on disk: a file each, or one recording of all.

use std::path::{Path, PathBuf};

use super::{Context, OwnedRecord, SigmfWriter};
use crate::args::RecordFormat;
use crate::error::Error;
use crate::note;
use crate::quantity::counted;

/// Where records go.
pub struct Store(Kind);

enum Kind {
    /// A file each, numbered from 1.
    Files { write: Write, ending: &'static str, base: PathBuf, context: Context, range: Range },
    /// One recording of all, begun with the first.
    Sigmf { writer: Option<Box<SigmfWriter>>, base: PathBuf, context: Context, records: u64 },
}

/// Writes one record, and tells what it could not say in that format.
type Write = fn(&OwnedRecord, &Path, &Context) -> Result<Vec<String>, Error>;

/// The first and last file written, and how many: a number that was taken may lie between.
type Range = Option<(PathBuf, PathBuf, u64)>;

impl Store {
    /// Files whose names begin with `base`, in the format that is given, or that its ending tells,
    /// or that is usual.
    ///
    /// # Errors
    /// A path without a file name; an ending of another format.
    pub fn new(
        base: &Path,
        given: Option<RecordFormat>,
        usual: RecordFormat,
        context: Context,
    ) -> Result<Self, Error> {
        let format = RecordFormat::asked("--out", base, given)?.unwrap_or(usual);
        let base = match RecordFormat::of_name(base) {
            // The number goes before the ending.
            Some(_) => base.with_extension(""),
            None => base.to_owned(),
        };
        // A path ignores a separator at its end, and the files would be beside the folder.
        let is_folder = base
            .as_os_str()
            .as_encoded_bytes()
            .last()
            .is_some_and(|&byte| std::path::is_separator(byte.into()));
        if is_folder || base.file_name().is_none() {
            return Err(Error::usage(
                format!("--out \"{}\" is no name for files", base.display()),
                "give a folder and the beginning of a name, such as records/pulse",
            ));
        }
        let files = |write: Write, ending, base| Kind::Files {
            write,
            ending,
            base,
            context: context.clone(),
            range: None,
        };
        Ok(Self(match format {
            RecordFormat::Wav => files(super::wav, "wav", base),
            RecordFormat::Csv => files(|r, p, c| super::csv(r, p, c).map(|()| vec![]), "csv", base),
            RecordFormat::Npy => files(|r, p, c| super::npy(r, p, c).map(|()| vec![]), "npy", base),
            RecordFormat::Sigmf => Kind::Sigmf { writer: None, base, context, records: 0 },
        }))
    }

    /// Whether all records go into one recording.
    pub fn is_one(&self) -> bool {
        matches!(self.0, Kind::Sigmf { .. })
    }

    /// The first number from `number` on, from 0, whose file is not there yet or may be replaced.
    pub fn free(&self, number: u64) -> u64 {
        match &self.0 {
            Kind::Files { ending, base, context, .. } if !context.overwrite => (number..u64::MAX)
                .find(|&number| numbered(base, number + 1, ending).symlink_metadata().is_err())
                .unwrap_or(number),
            _ => number,
        }
    }

    /// The file written last, where each record has its own.
    pub fn last(&self) -> Option<&Path> {
        match &self.0 {
            Kind::Files { range: Some((_, last, _)), .. } => Some(last),
            _ => None,
        }
    }

    /// Writes the next record.
    ///
    /// # Errors
    /// As the writer of that format.
    pub fn put(&mut self, record: &OwnedRecord) -> Result<(), Error> {
        match &mut self.0 {
            Kind::Files { write, ending, base, context, range } => {
                let path = numbered(base, record.number + 1, ending);
                let notices = write(record, &path, context)?;
                if let Some((_, last, records)) = range {
                    *last = path;
                    *records += 1;
                } else {
                    // One file is like another: said once.
                    note::all(notices);
                    *range = Some((path.clone(), path, 1));
                }
            }
            Kind::Sigmf { writer, base, context, records } => {
                if writer.is_none() {
                    *writer = Some(Box::new(SigmfWriter::create(base, context)?));
                }
                if let Some(writer) = writer {
                    writer.add(record)?;
                    *records += 1;
                }
            }
        }
        Ok(())
    }

    /// Completes what is open; what was written, for people.
    ///
    /// # Errors
    /// As the writer of that format.
    pub fn finish(self) -> Result<Option<String>, Error> {
        match self.0 {
            Kind::Files { range: None, .. } | Kind::Sigmf { writer: None, .. } => Ok(None),
            Kind::Files { range: Some((first, last, _)), .. } if first == last => {
                Ok(Some(first.display().to_string()))
            }
            Kind::Files { range: Some((first, last, records)), .. } => {
                let records = counted(records, "record");
                Ok(Some(format!("{} to {} ({records})", first.display(), last.display())))
            }
            Kind::Sigmf { writer: Some(writer), records, .. } => {
                let (data, meta) = writer.finish()?;
                let records = counted(records, "record");
                Ok(Some(format!("{} and {} ({records})", meta.display(), data.display())))
            }
        }
    }
}

/// `base-0001.ending`: a name that sorts in order up to ten thousand.
fn numbered(base: &Path, number: u64, ending: &str) -> PathBuf {
    let mut name = base.file_name().unwrap_or_default().to_owned();
    name.push(format!("-{number:04}.{ending}"));
    base.with_file_name(name)
}
