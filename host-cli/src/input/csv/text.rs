//! The text of a file or a stream, some whole lines at a time.

use memchr::memrchr;

use super::super::source::Source;
use super::lines::{MAX_LINE, too_long};
use crate::error::Error;

pub(super) struct Text {
    source: Source,
    /// What was read and not handed out lies from `start` to `end`.
    buffer: Vec<u8>,
    start: usize,
    end: usize,
    /// How many lines were handed out.
    lines: u64,
}

impl Text {
    /// The text from where the source stands, behind `lines` other lines, `size` bytes at a time.
    pub(super) fn new(source: Source, size: usize, lines: u64) -> Self {
        Self { source, buffer: vec![0; size.max(2 * MAX_LINE)], start: 0, end: 0, lines }
    }

    pub(super) fn name(&self) -> &str {
        self.source.name()
    }

    pub(super) fn is_file(&self) -> bool {
        self.source.is_file()
    }

    /// Reads on: a buffer full from a file, what has arrived from a stream, a line at least. Gives
    /// the whole lines that came, and the number of lines before them; no text at the end.
    pub(super) fn read(&mut self) -> Result<(&[u8], u64), Error> {
        self.buffer.copy_within(self.start..self.end, 0);
        self.end -= self.start;
        self.start = 0;
        while self.start == 0 {
            let room = &mut self.buffer[self.end..];
            if room.is_empty() {
                return Err(too_long(self.source.name(), self.lines + 1));
            }
            let got = if self.source.is_file() {
                self.source.read_full(room)?
            } else {
                self.source.read_some(room)?
            };
            let searched = self.end;
            self.end += got;
            let last = memrchr(b'\n', &self.buffer[searched..self.end]);
            self.start = match last {
                // The last line may lack its end.
                _ if got == 0 => self.end,
                Some(at) => searched + at + 1,
                None => 0,
            };
            if got == 0 {
                break;
            }
        }
        let text = &self.buffer[..self.start];
        let before = self.lines;
        self.lines += memchr::memchr_iter(b'\n', text).count() as u64;
        Ok((text, before))
    }
}
