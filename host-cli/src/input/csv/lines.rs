//! Text, line by line, parted into fields.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::memchr;

use super::super::info::MAX_CHANNELS;
use crate::error::{Error, Place};

/// The longest line.
pub(super) const MAX_LINE: usize = 64 * 1024;

/// The lines of a text that is in memory.
pub(super) struct Lines<'t> {
    name: &'t str,
    /// What follows the current line.
    rest: &'t [u8],
    /// The current line, without its end.
    current: &'t [u8],
    line: u64,
    delimiter: u8,
    /// Where the fields of the current line lie in it, or in what was written of it by [`Quoted`].
    fields: Vec<(usize, usize)>,
    quoted: Option<Quoted>,
    is_quoted: bool,
}

impl<'t> Lines<'t> {
    /// The lines of `text`, which comes after `before` other lines of the file `name`.
    pub(super) fn new(name: &'t str, text: &'t [u8], delimiter: u8, before: u64) -> Self {
        Self {
            name,
            rest: text,
            current: &[],
            line: before,
            delimiter,
            fields: Vec::new(),
            quoted: None,
            is_quoted: false,
        }
    }

    pub(super) fn name(&self) -> &str {
        self.name
    }

    /// The number of the current line, from 1.
    pub(super) fn line(&self) -> u64 {
        self.line
    }

    /// What follows the current line.
    pub(super) fn rest(&self) -> &'t [u8] {
        self.rest
    }

    /// How many fields the current line has.
    pub(super) fn width(&self) -> usize {
        self.fields.len()
    }

    /// A field of the current line, without the spaces around it.
    pub(super) fn field(&self, index: usize) -> &[u8] {
        let line = match &self.quoted {
            Some(quoted) if self.is_quoted => &quoted.text,
            _ => self.current,
        };
        self.fields.get(index).map_or(&[], |&(start, end)| line[start..end].trim_ascii())
    }

    /// Goes to the next line that is neither blank nor a comment; `false` at the end.
    pub(super) fn advance(&mut self) -> Result<bool, Error> {
        while !self.rest.is_empty() {
            let end = memchr(b'\n', self.rest).unwrap_or(self.rest.len());
            let line = &self.rest[..end];
            self.rest = self.rest.get(end + 1..).unwrap_or(&[]);
            self.line += 1;
            if line.len() > MAX_LINE {
                return Err(too_long(self.name, self.line));
            }
            self.current = line.strip_suffix(b"\r").unwrap_or(line);
            if !matches!(self.current.trim_ascii_start().first(), None | Some(b'#')) {
                self.is_quoted = !self.part_plain();
                if self.is_quoted {
                    self.part_quoted()?;
                }
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Parts a line of which every byte stands for itself; `false` where that is not so.
    fn part_plain(&mut self) -> bool {
        self.fields.clear();
        if self.delimiter == b' ' {
            return false;
        }
        let mut from = 0;
        for (at, &byte) in self.current.iter().enumerate() {
            if byte == self.delimiter {
                self.fields.push((from, at));
                from = at + 1;
            } else if matches!(byte, b'"' | b'\r' | b',') {
                return false;
            }
        }
        self.fields.push((from, self.current.len()));
        self.fields.len() <= MAX_CHANNELS
    }

    fn part_quoted(&mut self) -> Result<(), Error> {
        let delimiter = self.delimiter;
        let quoted = self.quoted.get_or_insert_with(|| Quoted::new(delimiter));
        quoted.part(self.current, delimiter, &mut self.fields).map_err(|problem| {
            Error::input(
                self.name,
                Place::Line(self.line),
                problem,
                "correct the line, or state the columns' --delimiter",
            )
        })
    }
}

#[cold]
pub(super) fn too_long(name: &str, line: u64) -> Error {
    Error::input(
        name,
        Place::Line(line),
        format!("the line is longer than {MAX_LINE} bytes"),
        "check that this is text in columns, with line feeds between its lines",
    )
}

/// What parts lines with quotes, with runs of spaces, or with decimal commas.
struct Quoted {
    parser: Reader,
    /// The line's fields without quotes, one after the other.
    text: Vec<u8>,
    ends: Vec<usize>,
}

impl Quoted {
    fn new(delimiter: u8) -> Self {
        Self {
            parser: ReaderBuilder::new().delimiter(delimiter).build(),
            text: vec![0; MAX_LINE + 1],
            ends: vec![0; MAX_CHANNELS + 2],
        }
    }

    fn part(
        &mut self,
        line: &[u8],
        delimiter: u8,
        fields: &mut Vec<(usize, usize)>,
    ) -> Result<(), &'static str> {
        // Runs of spaces part columns once, and around the line they part nothing.
        let line = if delimiter == b' ' { line.trim_ascii() } else { line };
        self.parser.reset();
        let (result, read, text, mut ends) =
            self.parser.read_record(line, &mut self.text, &mut self.ends);
        match result {
            ReadRecordResult::InputEmpty => {}
            ReadRecordResult::OutputEndsFull => return Err("there are too many columns"),
            _ => return Err("there is a carriage return within the line"),
        }
        if read == line.len() {
            let rest = (&mut self.text[text..], &mut self.ends[ends..]);
            let (result, _, _, more) = self.parser.read_record(b"\n", rest.0, rest.1);
            ends += more;
            match result {
                ReadRecordResult::Record => {}
                ReadRecordResult::OutputEndsFull => return Err("there are too many columns"),
                _ => return Err("a quote is not closed"),
            }
        }
        fields.clear();
        let mut from = 0;
        for &to in &self.ends[..ends] {
            if delimiter != b' ' || to > from {
                fields.push((from, to));
            }
            from = to;
        }
        if delimiter != b',' {
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

    fn rows(text: &str, delimiter: u8) -> Vec<(u64, Vec<String>)> {
        let mut lines = Lines::new("test.csv", text.as_bytes(), delimiter, 0);
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
            let mut lines = Lines::new("test.csv", text.as_bytes(), b',', 0);
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
