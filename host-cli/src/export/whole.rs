//! Files that appear when they are whole.

use std::fs::File;
use std::io::{self, BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use tempfile::NamedTempFile;

use crate::error::Error;
use crate::input::is_being_read;
use crate::interrupt;

/// A file under a temporary name in the folder of its own; gone if it is never finished.
pub(crate) struct WholeFile {
    target: PathBuf,
    overwrite: bool,
    writer: BufWriter<NamedTempFile>,
    began: Instant,
}

/// A file that takes longer is flushed to the disk: its work is worth the wait. Records that come one
/// after another are not: waiting for the disk at each would make a board overrun.
const LONG_WORK: Duration = Duration::from_secs(1);

impl WholeFile {
    pub(crate) fn create(target: &Path, overwrite: bool) -> Result<Self, Error> {
        let refused = |what: String, remedy| {
            Err(Error::usage(format!("{}: {what}", target.display()), remedy))
        };
        // At once, before any work is done in vain; `finish` sees to races.
        match target.metadata() {
            Ok(there) if there.is_dir() => {
                return refused("is a folder".into(), "give the name of a file");
            }
            // To be renamed over, it would be gone.
            Ok(there) if !there.is_file() => {
                return refused("is a device or a pipe".into(), "give the name of a file");
            }
            _ => {}
        }
        if !overwrite && target.symlink_metadata().is_ok() {
            return Err(exists(target));
        }
        if is_being_read(target) {
            return refused("is the recording that is read".into(), "choose another name");
        }
        // A link stays, and the file that it leads to is replaced.
        let target = match target.canonicalize() {
            Ok(real) if target.is_symlink() => real,
            _ => target.to_owned(),
        };
        let folder = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        if !folder.is_dir() {
            return refused(format!("there is no folder {}", folder.display()), "make it first");
        }
        let file = temporary().tempfile_in(folder).map_err(|fault| failed(&target, fault))?;
        Ok(Self { target, overwrite, writer: BufWriter::new(file), began: Instant::now() })
    }

    /// The folder that it is in.
    pub(crate) fn folder(&self) -> &Path {
        self.writer.get_ref().path().parent().unwrap_or(Path::new("."))
    }

    /// The error for a failed write to this file.
    pub(crate) fn error(&self, source: io::Error) -> Error {
        failed(&self.target, source)
    }

    pub(crate) fn put(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.writer.write_all(bytes).map_err(|source| self.error(source))
    }

    /// Gives the file its name.
    pub(crate) fn finish(self) -> Result<(), Error> {
        self.complete()?.finish()
    }

    /// Ends the writing, before the file gets its name.
    pub(crate) fn complete(self) -> Result<Complete, Error> {
        // What is finished is kept, however long the disk takes.
        interrupt::set_finishing(true);
        let Self { target, overwrite, writer, began } = self;
        let is_durable = began.elapsed() >= LONG_WORK || target.exists();
        let file = writer.into_inner().map_err(|fault| failed(&target, fault.into_error()))?;
        // Before it gets its name: or else a loss of power may leave the name without the content.
        if is_durable {
            flush(file.as_file()).map_err(|fault| failed(&target, fault))?;
        }
        interrupt::set_finishing(false);
        Ok(Complete { target, overwrite, is_durable, file })
    }
}

/// A file that is whole, but under its temporary name.
pub(crate) struct Complete<F = File> {
    target: PathBuf,
    overwrite: bool,
    /// Whether it was flushed to the disk, and its name is to be.
    is_durable: bool,
    file: NamedTempFile<F>,
}

impl<F> Complete<F> {
    /// The temporary name, without its folder.
    pub(crate) fn temporary_name(&self) -> String {
        let name = self.file.path().file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    }

    /// The same file under one more temporary name; `None` where the disk has no such links, or
    /// where the file will not be beside the `other`.
    pub(crate) fn twin(&self, other: &WholeFile) -> Option<Complete<()>> {
        let own = self.file.path();
        if own.parent() != other.writer.get_ref().path().parent() {
            return None;
        }
        let file = temporary().make_in(own.parent()?, |path| std::fs::hard_link(own, path)).ok()?;
        let Self { overwrite, is_durable, .. } = *self;
        Some(Complete { target: self.target.clone(), overwrite, is_durable, file })
    }

    /// Leaves the file under its temporary name.
    pub(crate) fn leave(self) {
        // Where even that fails, it is gone as it would have been.
        let _ = self.file.keep();
    }

    /// Gives the file its name.
    pub(crate) fn finish(self) -> Result<(), Error> {
        let Self { target, overwrite, is_durable, file } = self;
        let renamed =
            if overwrite { file.persist(&target) } else { file.persist_noclobber(&target) };
        match renamed {
            Ok(_) => {
                if is_durable {
                    keep_name(&target);
                }
                Ok(())
            }
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => {
                Err(exists(&target))
            }
            Err(error) => Err(failed(&target, error.error)),
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

/// Names for files that are not whole yet.
fn temporary() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".stillwave-").suffix(".part");
    // Readable as any new file is: a temporary one would be for its owner alone.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder
}

/// Has a file's content survive a loss of power, where its disk can do that: shares in a network may
/// not know how.
fn flush(file: &File) -> io::Result<()> {
    match file.sync_all() {
        Err(fault)
            if matches!(fault.kind(), io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput) =>
        {
            Ok(())
        }
        flushed => flushed,
    }
}

/// Has a new name survive a loss of power. Where a disk cannot do that, it is as good as it gets.
fn keep_name(target: &Path) {
    // Windows opens no folders, and keeps names by itself.
    if cfg!(unix)
        && let Some(folder) = target.parent()
    {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

/// Windows: a program has the file open and shares it with none.
const SHARING_VIOLATION: i32 = 32;

/// The system's reason, without the temporary name, which tells nobody anything.
fn failed(target: &Path, fault: io::Error) -> Error {
    let reason = match (fault.kind(), fault.raw_os_error()) {
        (_, Some(SHARING_VIOLATION)) if cfg!(windows) => {
            io::Error::other("another program has it open; close it there")
        }
        (io::ErrorKind::PermissionDenied, _) if cfg!(windows) && target.is_file() => {
            io::Error::other("it is protected, or another program has it open")
        }
        (io::ErrorKind::Other, _) => fault,
        (kind, _) => kind.into(),
    };
    Error::output(target.display().to_string(), reason)
}

fn exists(target: &Path) -> Error {
    Error::usage(
        format!("{}: there is such a file already", target.display()),
        "choose another name, or replace it with --overwrite",
    )
}
