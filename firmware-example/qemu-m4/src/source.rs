//! Where the samples come from: u16, little-endian.

use semihosting::{
    fs::File,
    io::{self, Read},
};

use crate::{error::Error, limits::Path};

/// Made by `recordings/make.py`, not recorded by any board.
static IN_FLASH: &[u8] = include_bytes!("../../recordings/pulses.u16le");

/// A recording, read from its beginning.
pub(crate) enum Source {
    /// What is left of the one in flash.
    Flash(&'static [u8]),
    /// A file of the host.
    File(File),
}

impl Source {
    /// The host's file, or the recording in flash where none is named.
    pub(crate) fn open(path: Option<&Path>) -> Result<Self, Error> {
        match path {
            Some(path) => {
                let file = File::open(path).map_err(|error| Error::File("file=", error))?;
                Ok(Self::File(file))
            }
            None => Ok(Self::Flash(IN_FLASH)),
        }
    }

    /// Fills `block` as far as samples are left, and returns the filled part.
    pub(crate) fn read<'b>(&mut self, block: &'b mut [u16]) -> Result<&'b [u16], Error> {
        let bytes = self.fill(bytemuck::cast_slice_mut(block))?;
        if bytes % size_of::<u16>() != 0 {
            return Err(Error::HalfSample);
        }
        let samples = block.get_mut(..bytes / size_of::<u16>()).unwrap_or_default();
        for sample in &mut *samples {
            *sample = u16::from_le(*sample);
        }
        Ok(samples)
    }

    /// Fills `bytes`, or less at the recording's end; returns how many it wrote.
    fn fill(&mut self, bytes: &mut [u8]) -> Result<usize, Error> {
        match self {
            Self::Flash(left) => left.read(bytes),
            Self::File(file) => read_full(file, bytes),
        }
        .map_err(|error| Error::File("file=", error))
    }
}

/// What is in a file of the host, as far as there is room.
pub(crate) fn read_whole<'b>(path: &Path, room: &'b mut [u8]) -> Result<&'b [u8], Error> {
    let fault = |error| Error::File("composition=", error);
    let mut file = File::open(path).map_err(fault)?;
    let filled = read_full(&mut file, room).map_err(fault)?;
    Ok(room.get(..filled).unwrap_or_default())
}

/// A single read may return less than there is.
fn read_full(file: &mut File, bytes: &mut [u8]) -> io::Result<usize> {
    let mut filled = 0;
    while let Some(rest) = bytes.get_mut(filled..)
        && !rest.is_empty()
    {
        match file.read(rest)? {
            0 => break,
            read => filled += read,
        }
    }
    Ok(filled)
}
