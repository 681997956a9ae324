//! One side of a talk: lines in, answers out.

use embassy_futures::block_on;
use heapless::Vec;
use microscpi::{Error, Interface as _, Write};

use crate::Instrument;
use crate::answer::Answer;
use crate::desk::Desk;
use crate::format::Format;
use crate::status::Status;
use crate::unit::{LONGEST_MESSAGE, Path, Unit};

/// One talk with an instrument: the message under way, status, errors.
#[derive(Default)]
pub struct Session {
    line: Vec<u8, LONGEST_MESSAGE>,
    too_long: bool,
    status: Status,
    format: Format,
}

impl Session {
    /// Takes any bytes, does what their messages say, and writes the answers. It blocks for as long
    /// as the instrument's [`pause`](Instrument::pause) does.
    pub fn take<I: Instrument>(&mut self, instrument: &mut I, bytes: &[u8], out: &mut impl Write) {
        for &byte in bytes {
            if self.push(byte) {
                block_on(self.answer(instrument, out));
            }
        }
    }

    /// Takes a byte; whether it ends a message, which [`answer`](Self::answer) is then to be called
    /// for.
    pub fn push(&mut self, byte: u8) -> bool {
        let ends = byte == b'\n';
        if !ends {
            self.too_long |= self.line.push(byte).is_err();
        }
        ends
    }

    /// Does what the message says, and writes its answer. What is wrong goes into the queue of
    /// errors, and the units after it are done all the same.
    pub async fn answer<I: Instrument>(&mut self, instrument: &mut I, out: &mut impl Write) {
        let line = core::mem::take(&mut self.line);
        let refused = match core::str::from_utf8(&line) {
            _ if core::mem::take(&mut self.too_long) => Error::InputBufferOverrun,
            Ok(text) if text.contains(['"', '\'']) => Error::StringDataNotAllowed,
            Ok(text) if text.is_ascii() => return self.message(text, instrument, out).await,
            _ => Error::InvalidCharacter,
        };
        self.status.error(refused);
    }

    async fn message<I: Instrument>(
        &mut self,
        text: &str,
        instrument: &mut I,
        out: &mut impl Write,
    ) {
        let mut answer = Answer::new(out);
        let mut path = Path::default();
        for text in text.split(';') {
            let unit = match Unit::read(text, &mut path) {
                Ok(Some(unit)) => unit,
                Ok(None) => continue,
                Err(error) => {
                    self.status.error(error);
                    continue;
                }
            };
            let Self { status, format, .. } = self;
            let has_answer = answer.is_there();
            let mut desk = Desk::new(instrument, status, format, &unit, has_answer);
            desk.note();
            let rest = desk.run(unit.text.as_bytes(), &mut answer).await;
            desk.finish(rest.is_empty());
        }
        if let Err(error) = answer.end() {
            self.status.error(error);
        }
    }
}
