//! What the program prints: the standard output, which a reader may close (`| head -1`), and the
//! standard error.
//!
//! Text from outside (names of files and of columns, fields, keys) may hold characters that command
//! a terminal. None goes out: all text for terminals passes here (but for what the parser of the
//! command line says of its words), and shows such a character as `\u001b`, which JSON takes too.

use std::borrow::Cow;
use std::io::{self, ErrorKind, Write};
use std::sync::atomic::{AtomicBool, Ordering};

use crate::error::Error;

/// Whether the program has more to do than to print.
static GOES_ON: AtomicBool = AtomicBool::new(false);
/// Whether the reader of the standard output has gone.
static CLOSED: AtomicBool = AtomicBool::new(false);

/// Says whether work remains when nobody reads the standard output any more: a file to write, or a
/// check that decides the exit status. Then printing ends and the work goes on; otherwise the
/// program ends, by [`Error::ClosedPipe`].
pub fn goes_on_without_reader(goes_on: bool) {
    GOES_ON.store(goes_on, Ordering::Relaxed);
}

/// The standard output for text. Control characters are shown, not sent.
#[derive(Debug, Default)]
pub struct Text;

/// The standard output for what this program draws itself, with its colours.
#[derive(Debug, Default)]
pub struct Drawing;

impl Write for Text {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match harmless(bytes) {
            Cow::Borrowed(bytes) => Drawing.write(bytes),
            Cow::Owned(shown) => Drawing.write_all(&shown).map(|()| bytes.len()),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Drawing.flush()
    }
}

impl Write for Drawing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if CLOSED.load(Ordering::Relaxed) {
            return Ok(bytes.len());
        }
        or_closed(io::stdout().write(bytes), bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        or_closed(io::stdout().flush(), ())
    }
}

/// A fault of the standard output, unless its reader has gone and there is more to do.
fn or_closed<T>(written: io::Result<T>, all: T) -> io::Result<T> {
    match written {
        Err(fault) if fault.kind() == ErrorKind::BrokenPipe && GOES_ON.load(Ordering::Relaxed) => {
            CLOSED.store(true, Ordering::Relaxed);
            Ok(all)
        }
        written => written,
    }
}

/// Prints lines for people.
///
/// # Errors
/// As the standard output.
pub fn text(text: &str) -> Result<(), Error> {
    to_output(writeln!(Text, "{text}"))
}

/// Prints a picture.
///
/// # Errors
/// As the standard output.
pub fn drawing(text: &str) -> Result<(), Error> {
    to_output(writeln!(Drawing, "{text}"))
}

fn to_output(printed: io::Result<()>) -> Result<(), Error> {
    printed.map_err(|source| Error::output("standard output", source))
}

/// A line on the standard error. Where nobody reads that, there is nobody to tell.
pub fn tell(text: &str) {
    let line = format!("{text}\n");
    let _ = io::stderr().write_all(&harmless(line.as_bytes()));
}

/// Text without the characters that command a terminal: those below a blank but for a line's end and
/// a tabulator, DEL, and U+0080 to U+009F, which are two bytes here.
fn harmless(bytes: &[u8]) -> Cow<'_, [u8]> {
    let commands = |i: usize| match bytes.get(i) {
        Some(b'\n' | b'\t') | None => false,
        Some(0..0x20 | 0x7f) => true,
        Some(0xc2) => matches!(bytes.get(i + 1), Some(0x80..0xa0)),
        Some(_) => false,
    };
    // Without a branch a byte: nearly all text has none, and some is long.
    let suspects = bytes.iter().fold(false, |any, &byte| {
        any | ((byte < 0x20) & (byte != b'\n')) | (byte == 0x7f) | (byte == 0xc2)
    });
    if !suspects {
        return bytes.into();
    }
    let mut shown = Vec::with_capacity(bytes.len() + 16);
    let mut i = 0;
    while let Some(&byte) = bytes.get(i) {
        if !commands(i) {
            shown.push(byte);
        } else if byte == 0xc2 {
            i += 1;
            let code = bytes.get(i).copied().unwrap_or(0);
            shown.extend(format!("\\u{code:04x}").bytes());
        } else {
            shown.extend(format!("\\u{byte:04x}").bytes());
        }
        i += 1;
    }
    shown.into()
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn what_commands_a_terminal_is_shown() {
        for (text, shown) in [
            ("plain µΩ é\n\ttext", "plain µΩ é\n\ttext"),
            ("\x1b[2Jgone", "\\u001b[2Jgone"),
            ("a\rb\x07\x7f", "a\\u000db\\u0007\\u007f"),
            ("\u{9b}2J \u{a0}", "\\u009b2J \u{a0}"),
            ("ends in \u{c2}", "ends in \u{c2}"),
        ] {
            assert_eq!(harmless(text.as_bytes()), shown.as_bytes(), "{text:?}");
        }
    }
}
