//! Text, line by line, parted into fields.
//!
//! All memory is taken once; a line that does not fit is an error.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::memchr;

use super::super::binary::MAX_CHANNELS;
use super::super::source::Source;
use crate::error::{Error, Place};

/// The longest line.
const MAX_LINE: usize = 64 * 1024;

pub(super) struct Lines {
    source: Source,
    /// Bytes read and not yet parted lie from `start` to `end`.
    buffer: Vec<u8>,
    start: usize,
    end: usize,
    line: u64,
    delimiter: u8,
    parser: Reader,
    /// The current line's fields without quotes, one after the other.
    text: Vec<u8>,
    ends: Vec<usize>,
    fields: Vec<(usize, usize)>,
}

impl Lines {
    pub(super) fn new(source: Source, delimiter: u8) -> Self {
        Self {
            source,
            buffer: vec![0; 2 * MAX_LINE],
            start: 0,
            end: 0,
            line: 0,
            delimiter,
            parser: ReaderBuilder::new().delimiter(delimiter).build(),
            text: vec![0; MAX_LINE + 1],
            ends: vec![0; MAX_CHANNELS + 2],
            fields: Vec::new(),
        }
    }

    pub(super) fn name(&self) -> &str {
        self.source.name()
    }

    /// The number of the current line, from 1.
    pub(super) fn line(&self) -> u64 {
        self.line
    }

    /// How many fields the current line has.
    pub(super) fn width(&self) -> usize {
        self.fields.len()
    }

    /// A field of the current line, without the spaces around it.
    pub(super) fn field(&self, index: usize) -> &[u8] {
        self.fields.get(index).map_or(&[], |(start, end)| self.text[*start..*end].trim_ascii())
    }

    /// Whether the next line has arrived, so that asking for it does not wait.
    pub(super) fn is_ready(&self) -> bool {
        self.source.is_file() || memchr(b'\n', &self.buffer[self.start..self.end]).is_some()
    }

    /// Goes to the next line that is neither blank nor a comment; `false` at the end.
    pub(super) fn advance(&mut self) -> Result<bool, Error> {
        while let Some((start, end)) = self.next_line()? {
            self.line += 1;
            let content = self.buffer[start..end].trim_ascii();
            if !content.is_empty() && content[0] != b'#' {
                self.part(start, end)?;
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Finds the next line and returns where it lies, without its end.
    fn next_line(&mut self) -> Result<Option<(usize, usize)>, Error> {
        let mut searched = 0;
        loop {
            let unread = &self.buffer[self.start..self.end];
            if let Some(at) = memchr(b'\n', &unread[searched..]) {
                let start = self.start;
                let end = start + searched + at;
                self.start = end + 1;
                let carriage = end > start && self.buffer[end - 1] == b'\r';
                return Ok(Some((start, end - usize::from(carriage))));
            }
            searched = unread.len();
            if searched >= MAX_LINE {
                return Err(Error::input(
                    self.name(),
                    Place::Line(self.line + 1),
                    format!("the line is longer than {MAX_LINE} bytes"),
                    "check that this is text in columns, with line feeds between its lines",
                ));
            }
            self.buffer.copy_within(self.start..self.end, 0);
            (self.start, self.end) = (0, searched);
            let got = self.source.read_some(&mut self.buffer[searched..])?;
            self.end += got;
            if got == 0 {
                // The last line may lack its end.
                self.start = self.end;
                return Ok((searched > 0).then_some((0, searched)));
            }
        }
    }

    fn part(&mut self, start: usize, end: usize) -> Result<(), Error> {
        let line = &self.buffer[start..end];
        // Runs of spaces part columns once, and around the line they part nothing.
        let line = if self.delimiter == b' ' { line.trim_ascii() } else { line };
        self.parser.reset();
        let (result, read, text, mut ends) =
            self.parser.read_record(line, &mut self.text, &mut self.ends);
        let mut problem = match result {
            ReadRecordResult::InputEmpty => None,
            ReadRecordResult::OutputEndsFull => Some("there are too many columns"),
            _ => Some("there is a carriage return within the line"),
        };
        if problem.is_none() && read == line.len() {
            let rest = (&mut self.text[text..], &mut self.ends[ends..]);
            let (result, _, _, more) = self.parser.read_record(b"\n", rest.0, rest.1);
            ends += more;
            match result {
                ReadRecordResult::Record => {}
                ReadRecordResult::OutputEndsFull => problem = Some("there are too many columns"),
                _ => problem = Some("a quote is not closed"),
            }
        }
        if let Some(problem) = problem {
            return Err(Error::input(
                self.name(),
                Place::Line(self.line),
                problem,
                "correct the line, or state the columns' --delimiter",
            ));
        }
        self.fields.clear();
        let mut from = 0;
        for to in &self.ends[..ends] {
            if self.delimiter != b' ' || *to > from {
                self.fields.push((from, *to));
            }
            from = *to;
        }
        if self.delimiter != b',' && ends > 0 {
            for byte in &mut self.text[..from] {
                // Where commas do not part columns, they are decimal points.
                if *byte == b',' {
                    *byte = b'.';
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str, delimiter: u8) -> Lines {
        let stream = std::io::Cursor::new(text.as_bytes().to_vec());
        Lines::new(Source::stream("test.csv", Box::new(stream)), delimiter)
    }

    fn rows(text: &str, delimiter: u8) -> Vec<(u64, Vec<String>)> {
        let mut lines = lines(text, delimiter);
        let mut rows = Vec::new();
        while lines.advance().unwrap() {
            let fields = (0..lines.width())
                .map(|i| String::from_utf8_lossy(lines.field(i)).into_owned())
                .collect();
            rows.push((lines.line(), fields));
        }
        rows
    }

    fn row(line: u64, fields: &[&str]) -> (u64, Vec<String>) {
        (line, fields.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn lines_are_counted_past_blank_ones_and_comments() {
        let text = "a,b\r\n\n# note\r\n 1 ,\"2\"\n\n3,4";
        let expected = [row(1, &["a", "b"]), row(4, &["1", "2"]), row(6, &["3", "4"])];
        assert_eq!(rows(text, b','), expected);
    }

    #[test]
    fn quotes_hide_delimiters() {
        assert_eq!(
            rows("\"a,b\",\"c\"\"d\"\n,\n", b','),
            [row(1, &["a,b", "c\"d"]), row(2, &["", ""])]
        );
    }

    #[test]
    fn spaces_part_once_and_commas_become_points() {
        assert_eq!(rows("  1   2,5 \n", b' '), [row(1, &["1", "2.5"])]);
        assert_eq!(rows("1,5;2\n", b';'), [row(1, &["1.5", "2"])]);
    }

    #[test]
    fn faults_name_the_line() {
        let fault = |text: &str| {
            let mut lines = lines(text, b',');
            while lines.advance()? {}
            Ok::<(), Error>(())
        };
        let message = |text: &str| fault(text).unwrap_err().to_string();
        assert!(message("1\n\"2\n3\n").contains("line 2: a quote is not closed"));
        assert!(message("1\n2\r3\n").contains("line 2: there is a carriage return"));
        assert!(
            message(&format!("1\n{}", "9".repeat(70_000))).contains("line 2: the line is longer")
        );
        assert!(message(&",".repeat(5000)).contains("line 1: there are too many columns"));
    }
}
