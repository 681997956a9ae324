//! What is known of records until the metadata are written: kept in a file, as there may be millions.

use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Seek, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};
use stillwave::Event;

/// A record that was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Taken {
    /// Its first frame in the data file.
    pub(super) first: u64,
    pub(super) frames: u64,
    /// The position of that frame in the stream.
    pub(super) start: u64,
    pub(super) event: Option<Event>,
}

/// All records so far, in order.
pub(super) struct Kept {
    /// A file without a name, that goes with the program.
    file: BufWriter<File>,
    /// Lengthened while samples follow it without a break.
    last: Option<Taken>,
}

impl Kept {
    /// None, with their file in that folder.
    pub(super) fn new(folder: &Path) -> io::Result<Self> {
        Ok(Self { file: BufWriter::new(tempfile::tempfile_in(folder)?), last: None })
    }

    pub(super) fn add(&mut self, taken: Taken) -> io::Result<()> {
        self.last.replace(taken).map_or(Ok(()), |whole| write(&mut self.file, &whole))
    }

    /// Makes the last record longer, and says whether there is one.
    pub(super) fn lengthen(&mut self, frames: u64) -> bool {
        self.last.as_mut().map(|last| last.frames += frames).is_some()
    }

    /// No more are added.
    pub(super) fn complete(mut self) -> io::Result<Whole> {
        if let Some(last) = self.last.take() {
            write(&mut self.file, &last)?;
        }
        Ok(Whole(self.file.into_inner()?))
    }
}

fn write(mut file: impl Write, taken: &Taken) -> io::Result<()> {
    serde_json::to_writer(&mut file, taken)?;
    file.write_all(b"\n")
}

/// Records that can be read again and again, one list after the other.
pub(super) struct Whole(File);

impl Whole {
    /// All of them from the first on.
    pub(super) fn read(&self) -> io::Result<impl Iterator<Item = io::Result<Taken>>> {
        let mut file = &self.0;
        file.rewind()?;
        Ok(BufReader::new(file).lines().map(|line| Ok(serde_json::from_str(&line?)?)))
    }
}
