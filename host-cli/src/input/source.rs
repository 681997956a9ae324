//! Bytes from a file, a pipe or a device, with a look ahead.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;

use super::open_file::OpenFile;
use crate::error::{Error, Place};
use crate::quantity::counted;

/// How far a look ahead goes at most.
pub(super) const LOOK_AHEAD: usize = 64 * 1024;

/// How many bytes are looked at together.
const PIECE: usize = 4096;

enum Origin {
    /// A regular file: it is read at any place, and a read waits for nobody.
    File(Arc<OpenFile>),
    /// A pipe or a device: what has arrived is handed on without waiting for more.
    Stream(Box<dyn Read + Send>),
}

/// Where bytes come from.
pub(super) struct Source {
    name: String,
    origin: Origin,
    /// Bytes looked at ahead of time; those before `taken` have been handed out.
    ahead: Vec<u8>,
    taken: usize,
    position: u64,
    length: Option<u64>,
}

impl Source {
    /// Opens a file, or the standard input for `-`.
    pub(super) fn open(path: &Path) -> Result<Self, Error> {
        if path.as_os_str() == "-" {
            return Ok(Self::stream("standard input", Box::new(io::stdin())));
        }
        let name = path.display().to_string();
        let fault = |source| Error::Open { name: name.clone(), source };
        let file = File::open(path).map_err(fault)?;
        let kind = file.metadata().map_err(fault)?;
        if kind.is_dir() {
            return Err(Error::input(
                name,
                Place::Whole,
                "this is a directory",
                "name a recording in it",
            ));
        }
        // Files that the system makes up on the fly state a length of zero.
        if kind.is_file() && kind.len() > 0 {
            let file = OpenFile::new(file, path);
            let mut source = Self::new(name, Origin::File(Arc::new(file)));
            source.length = Some(kind.len());
            Ok(source)
        } else {
            Ok(Self::stream(name, Box::new(file)))
        }
    }

    /// Reads from a stream of unknown length.
    pub(super) fn stream(name: impl Into<String>, stream: Box<dyn Read + Send>) -> Self {
        Self::new(name.into(), Origin::Stream(stream))
    }

    fn new(name: String, origin: Origin) -> Self {
        Self { name, origin, ahead: Vec::new(), taken: 0, position: 0, length: None }
    }

    /// Another that reads the same file from the same place; a stream comes only once.
    pub(super) fn fork(&self) -> Option<Self> {
        let Origin::File(file) = &self.origin else { return None };
        let mut fork = Self::new(self.name.clone(), Origin::File(file.clone()));
        (fork.position, fork.length) = (self.position, self.length);
        Some(fork)
    }

    /// The name for messages.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// The whole length, where it is known.
    pub(super) fn length(&self) -> Option<u64> {
        self.length
    }

    /// How many bytes were handed out or skipped.
    pub(super) fn position(&self) -> u64 {
        self.position
    }

    /// Whether the source can be read at any place.
    pub(super) fn is_file(&self) -> bool {
        matches!(self.origin, Origin::File(_))
    }

    /// Looks at the bytes to come: until `enough` is content, the end, or [`LOOK_AHEAD`].
    pub(super) fn peek(&mut self, enough: impl Fn(&[u8]) -> bool) -> Result<&[u8], Error> {
        self.ahead.drain(..self.taken);
        self.taken = 0;
        while self.ahead.len() < LOOK_AHEAD && !enough(&self.ahead) {
            let mut piece = [0; PIECE];
            let room = PIECE.min(LOOK_AHEAD - self.ahead.len());
            let at = self.position + self.ahead.len() as u64;
            let got = pull(&mut self.origin, at, &mut piece[..room]);
            let got = got.map_err(|source| self.fault(source))?;
            if got == 0 {
                break;
            }
            self.ahead.extend_from_slice(&piece[..got]);
        }
        Ok(&self.ahead)
    }

    /// Reads what one call brings; 0 is the end.
    pub(super) fn read_some(&mut self, buffer: &mut [u8]) -> Result<usize, Error> {
        let ahead = &self.ahead[self.taken..];
        let got = if ahead.is_empty() {
            pull(&mut self.origin, self.position, buffer).map_err(|source| self.fault(source))?
        } else {
            let count = ahead.len().min(buffer.len());
            buffer[..count].copy_from_slice(&ahead[..count]);
            self.taken += count;
            if self.taken == self.ahead.len() {
                self.ahead = Vec::new();
                self.taken = 0;
            }
            count
        };
        self.position += got as u64;
        match self.length {
            Some(length) if got == 0 && !buffer.is_empty() && self.position < length => {
                Err(Error::input(
                    self.name.clone(),
                    Place::Byte(self.position),
                    format!("{} went while it was read", counted(length - self.position, "byte")),
                    "let no other program change it meanwhile, or read a copy",
                ))
            }
            _ => Ok(got),
        }
    }

    /// Fills the buffer; less comes back only at the end.
    pub(super) fn read_full(&mut self, buffer: &mut [u8]) -> Result<usize, Error> {
        let mut filled = 0;
        while filled < buffer.len() {
            match self.read_some(&mut buffer[filled..])? {
                0 => break,
                got => filled += got,
            }
        }
        Ok(filled)
    }

    /// Reads whole units of `unit` bytes: a buffer full from a file, what has arrived from a
    /// stream. A part of a unit comes back only at the end, nothing only after it.
    pub(super) fn read_units(&mut self, buffer: &mut [u8], unit: usize) -> Result<usize, Error> {
        if self.is_file() {
            return self.read_full(buffer);
        }
        let mut filled = self.read_some(buffer)?;
        let rest = filled % unit;
        if rest > 0 {
            let end = buffer.len().min(filled + unit - rest);
            filled += self.read_full(&mut buffer[filled..end])?;
        }
        Ok(filled)
    }

    /// Goes to a byte; reads a stream away. Fails where a stream has passed it or where it ends
    /// before.
    pub(super) fn go_to(&mut self, target: u64) -> Result<(), Error> {
        if target == self.position {
            return Ok(());
        }
        if self.is_file() {
            self.ahead = Vec::new();
            self.taken = 0;
            self.position = target;
            return Ok(());
        }
        let mut waste = [0; 4096];
        while self.position < target {
            let count = (target - self.position).min(waste.len() as u64) as usize;
            if self.read_some(&mut waste[..count])? == 0 {
                break;
            }
        }
        if self.position == target {
            Ok(())
        } else {
            Err(Error::input(
                self.name.clone(),
                Place::Byte(self.position),
                format!("byte {target} cannot be reached on a stream"),
                "save the recording in a file and read that",
            ))
        }
    }

    fn fault(&self, source: io::Error) -> Error {
        Error::Read { name: self.name.clone(), offset: self.position, source }
    }
}

impl Read for Source {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.read_some(buffer).map_err(|error| match error {
            Error::Read { source, .. } => source,
            other => io::Error::other(other),
        })
    }
}

fn pull(origin: &mut Origin, at: u64, buffer: &mut [u8]) -> io::Result<usize> {
    loop {
        let got = match origin {
            Origin::File(open) => read_at(&open.file, buffer, at),
            Origin::Stream(stream) => stream.read(buffer),
        };
        match got {
            Err(fault) if fault.kind() == io::ErrorKind::Interrupted => {}
            got => return got,
        }
    }
}

#[cfg(windows)]
fn read_at(file: &File, buffer: &mut [u8], at: u64) -> io::Result<usize> {
    std::os::windows::fs::FileExt::seek_read(file, buffer, at)
}

#[cfg(not(windows))]
fn read_at(file: &File, buffer: &mut [u8], at: u64) -> io::Result<usize> {
    std::os::unix::fs::FileExt::read_at(file, buffer, at)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hands out bytes a few at a time, as a slow pipe does.
    struct Trickle(Vec<u8>, usize);

    impl Read for Trickle {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.1.min(buffer.len()).min(self.0.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0.drain(..count);
            Ok(count)
        }
    }

    fn trickle(bytes: &[u8], step: usize) -> Source {
        Source::stream("test", Box::new(Trickle(bytes.to_vec(), step)))
    }

    #[test]
    fn a_look_ahead_loses_nothing() {
        let mut source = trickle(b"abcdefgh", 3);
        assert_eq!(source.peek(|b| b.len() >= 4).unwrap(), b"abcdef");
        let mut bytes = [0; 4];
        assert_eq!(source.read_some(&mut bytes).unwrap(), 4);
        assert_eq!(source.peek(|b| b.len() >= 3).unwrap(), b"efgh");
        let mut bytes = [0; 9];
        assert_eq!(source.read_full(&mut bytes).unwrap(), 4);
        assert_eq!(&bytes[..4], b"efgh");
        assert_eq!(source.position(), 8);
    }

    #[test]
    fn units_are_whole_until_the_end() {
        let mut source = trickle(b"abcdefgh", 4);
        let mut bytes = [0; 6];
        assert_eq!(source.read_units(&mut bytes, 3).unwrap(), 6);
        assert_eq!(source.read_units(&mut bytes, 3).unwrap(), 2);
        assert_eq!(source.read_units(&mut bytes, 3).unwrap(), 0);
    }

    #[test]
    fn streams_skip_forwards_only() {
        let mut source = trickle(b"abcdefgh", 4);
        source.go_to(5).unwrap();
        assert_eq!(source.peek(|b| b.len() > 1).unwrap(), b"fgh");
        assert!(source.go_to(2).is_err());
        assert!(source.go_to(20).is_err());
    }
}
