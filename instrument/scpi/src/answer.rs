//! Answers: those of one message on one line. Standards are cited from memory.

use core::fmt::Arguments;

use heapless::String;
use microscpi::{Error, Response, Write};

/// Joins a message's answers by `;`, and ends them with one newline (IEEE 488.2, 8.4). The parser
/// ends each with a newline of its own.
pub(crate) struct Answer<'w, W> {
    out: &'w mut W,
    /// An answer is there.
    begun: bool,
    /// The last one has ended.
    ended: bool,
}

impl<'w, W: Write> Answer<'w, W> {
    pub(crate) fn new(out: &'w mut W) -> Self {
        Self { out, begun: false, ended: false }
    }

    /// Whether there is one.
    pub(crate) fn is_there(&self) -> bool {
        self.begun
    }

    /// Ends the line.
    pub(crate) fn end(self) -> Result<(), Error> {
        if self.begun { self.out.write_char('\n') } else { Ok(()) }
    }

    fn begin(&mut self) -> Result<(), Error> {
        if core::mem::take(&mut self.ended) {
            self.out.write_char(';')?;
        }
        self.begun = true;
        Ok(())
    }
}

impl<W: Write> Write for Answer<'_, W> {
    fn write_bytes(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.begin()?;
        self.out.write_bytes(bytes)
    }

    fn write_char(&mut self, c: char) -> Result<(), Error> {
        if c == '\n' {
            self.ended = true;
            return Ok(());
        }
        self.begin()?;
        self.out.write_char(c)
    }

    fn write_str(&mut self, text: &str) -> Result<(), Error> {
        self.begin()?;
        self.out.write_str(text)
    }

    fn write_fmt(&mut self, text: Arguments<'_>) -> Result<(), Error> {
        self.begin()?;
        self.out.write_fmt(text)
    }
}

/// Text as IEEE 488.2 writes it (8.7.8): in double quotes. None of ours has such in it.
#[derive(Default)]
pub(crate) struct Quoted(pub(crate) String<256>);

impl Response for Quoted {
    fn write_response(&self, f: &mut impl Write) -> Result<(), Error> {
        write!(f, "\"{}\"", self.0)
    }
}

/// A measured number, or the one that says that there is none (SCPI-1999, 7.2.1.5: 9.91E37), as
/// IEEE 488.2 writes it (8.7.4): `1.50000000E+03`.
pub(crate) struct Number(pub(crate) f64);

impl Response for Number {
    fn write_response(&self, f: &mut impl Write) -> Result<(), Error> {
        let value = if self.0.is_finite() { self.0 } else { 9.91e37 };
        let mut text = String::<32>::new();
        core::fmt::write(&mut text, format_args!("{value:.8E}")).or(Err(Error::SystemError))?;
        let (digits, exponent) = text.split_once('E').unwrap_or((&text, "0"));
        let sign = if exponent.starts_with('-') { '-' } else { '+' };
        write!(f, "{digits}E{sign}{:0>2}", exponent.trim_start_matches('-'))
    }
}
