//! Recordings read from bytes, as a file and as a stream.

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use stillwave_cli::error::Error;
use stillwave_cli::input::{Info, OpenOptions, Planes, Recording, open, open_stream};
use stillwave_cli::with_reader;

/// A folder of this process alone, in what `TMPDIR` says.
static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let folder = std::env::temp_dir().join(format!("stillwave-fuzz-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
});

/// A file of that name with that content.
pub fn file(name: &str, content: &[u8]) -> PathBuf {
    let path = FOLDER.join(name);
    std::fs::write(&path, content).expect("a file");
    path
}

/// A path where there is no file.
pub fn no_file(name: &str) -> PathBuf {
    let path = FOLDER.join(name);
    let _ = std::fs::remove_file(&path);
    path
}

/// Hands out a few bytes at a time, as a slow pipe does.
struct Trickle {
    bytes: Vec<u8>,
    at: usize,
    step: usize,
}

impl Read for Trickle {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let rest = &self.bytes[self.at..];
        let count = self.step.min(buffer.len()).min(rest.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.at += count;
        Ok(count)
    }
}

/// A recording read to its end: what is known of it, and the bytes of each channel's samples.
struct Whole {
    info: Info,
    channels: Vec<Vec<u8>>,
}

/// Reads to the end, in blocks of that many frames; `most` frames are all that there can be.
fn whole(recording: Recording, block: usize, most: usize) -> Result<Whole, Error> {
    with_reader!(recording, reader => {
        let mut reader = reader;
        let mut planes = Planes::new(reader.selected().len(), block);
        let mut channels = vec![Vec::new(); planes.width()];
        let mut frames = 0;
        loop {
            let read = reader.read(&mut planes)?;
            if read == 0 {
                break;
            }
            frames += read;
            assert!(frames <= most, "{frames} frames out of {most} bytes");
            for (all, some) in channels.iter_mut().zip(planes.channels()) {
                assert_eq!(some.len(), read);
                all.extend_from_slice(bytemuck::cast_slice(some));
            }
        }
        let info = reader.info().clone();
        if let Some(promised) = info.frames {
            assert_eq!(promised, frames as u64, "the header promised {promised} frames");
        }
        Ok(Whole { info, channels })
    })
}

/// Whether a message is complete: what an error must be.
pub fn judged(error: &Error) {
    let message = error.to_string();
    assert!(message.len() < 2000 && message.contains("; "), "{message:?}");
    assert!(!message.contains('\n'), "{message:?}");
}

/// Opens a file and reads it, once as a whole and once in small blocks: both are the same.
fn read_file(path: &Path, options: &OpenOptions, bytes: usize) -> Option<Whole> {
    let read = |block| open(path, options).and_then(|recording| whole(recording, block, bytes));
    match (read(1 + bytes), read(3)) {
        (Ok(large), Ok(small)) => {
            assert_eq!(large.channels, small.channels, "by large blocks and by small ones");
            Some(large)
        }
        (Err(error), Err(other)) => {
            judged(&error);
            assert_eq!(error.to_string(), other.to_string());
            None
        }
        (Err(error), Ok(_)) | (Ok(_), Err(error)) => panic!("by one size of blocks: {error}"),
    }
}

/// Reads a file, and the same bytes as a stream that brings `step` of them at a time.
pub fn read(name: &str, bytes: &[u8], options: &OpenOptions, step: usize) {
    let from_file = read_file(&file(name, bytes), options, bytes.len());
    let stream = Trickle { bytes: bytes.to_vec(), at: 0, step: step.max(1) };
    let streamed = open_stream(Box::new(stream), name, options)
        .and_then(|recording| whole(recording, 7, bytes.len()));
    match (from_file, streamed) {
        (Some(file), Ok(stream)) => {
            assert_eq!(file.info.format, stream.info.format);
            assert_eq!(file.channels, stream.channels, "from a file and from a stream");
        }
        // What can be read of a file, but not of a stream, is refused as that.
        (Some(_), Err(error)) => {
            judged(&error);
            let message = error.to_string();
            assert!(message.contains("save the recording in a file"), "{message:?}");
        }
        (None, Err(error)) => judged(&error),
        (None, Ok(_)) => {}
    }
}

/// Reads a pair of files.
pub fn read_pair(name: &str, metadata: &[u8], data: &[u8]) {
    file(&format!("{name}.sigmf-data"), data);
    let path = file(&format!("{name}.sigmf-meta"), metadata);
    read_file(&path, &OpenOptions::default(), data.len());
}
