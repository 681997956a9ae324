//! Files that appear when they are whole.

use std::io::{self, BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::error::Error;

/// A file under a temporary name in the folder of its own; gone if it is never finished.
pub(crate) struct WholeFile {
    target: PathBuf,
    overwrite: bool,
    writer: BufWriter<NamedTempFile>,
}

impl WholeFile {
    pub(crate) fn create(target: &Path, overwrite: bool) -> Result<Self, Error> {
        // At once, before any work is done in vain; `finish` sees to races.
        if !overwrite && target.symlink_metadata().is_ok() {
            return Err(exists(target));
        }
        if target.is_dir() {
            return Err(Error::usage(
                format!("{}: is a folder", target.display()),
                "give the name of a file",
            ));
        }
        let folder = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let mut builder = tempfile::Builder::new();
        builder.prefix(".stillwave-").suffix(".part");
        // Readable as any new file is: a temporary one would be for its owner alone.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = builder
            .tempfile_in(folder)
            .map_err(|source| Error::output(target.display().to_string(), source))?;
        Ok(Self { target: target.to_owned(), overwrite, writer: BufWriter::new(file) })
    }

    /// The error for a failed write to this file.
    pub(crate) fn error(&self, source: io::Error) -> Error {
        Error::output(self.target.display().to_string(), source)
    }

    pub(crate) fn put(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.writer.write_all(bytes).map_err(|source| self.error(source))
    }

    /// Gives the file its name.
    pub(crate) fn finish(self) -> Result<(), Error> {
        let Self { target, overwrite, writer } = self;
        let failed = |source| Error::output(target.display().to_string(), source);
        let file = writer.into_inner().map_err(|error| failed(error.into_error()))?;
        let renamed =
            if overwrite { file.persist(&target) } else { file.persist_noclobber(&target) };
        match renamed {
            Ok(_) => Ok(()),
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => {
                Err(exists(&target))
            }
            Err(error) => Err(failed(error.error)),
        }
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.writer.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.writer.flush()
    }
}

impl Seek for WholeFile {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.writer.seek(to)
    }
}

fn exists(target: &Path) -> Error {
    Error::usage(
        format!("{}: there is such a file already", target.display()),
        "choose another name, or replace it with --overwrite",
    )
}
