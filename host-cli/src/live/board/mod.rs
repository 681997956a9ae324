//! The computer's end of the link.

use std::io;
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use stillwave_app::Settings;
use stillwave_link::{
    Assembler, Counters, Encoder, EventAt, FromBoard, Hello, LONGEST_FRAME, Received, Receiver,
    RecordHead, ToBoard,
};

use super::connection::{Connected, Connection};
use super::line::Line;
use crate::error::Error;

/// How long after a failure a board is looked for again, and what it has not said is asked for again.
const AGAIN: Duration = Duration::from_secs(1);
/// A board tells its counters twice a second: one that says nothing for so long is not there.
const SILENCE: Duration = Duration::from_secs(3);
/// Samples in the longest record that is believed.
const LONGEST: usize = 1 << 22;

/// What a board says, and what becomes of it.
#[derive(Debug, Clone, PartialEq)]
pub enum News {
    /// It is there.
    Connected,
    /// It is not there any more, for this reason.
    Gone(String),
    /// A recording has come to its end, or cannot be read any further, for this reason.
    Ended(Option<String>),
    /// What it is.
    Hello(Hello),
    /// What is set.
    Settings {
        /// What the knobs set.
        settings: Settings,
        /// Whether it runs.
        running: bool,
    },
    /// An accepted event.
    Event(EventAt),
    /// Frames never came.
    Missed,
    /// A record begins.
    RecordBegins,
    /// More of it has come, but not all.
    RecordGoesOn,
    /// A whole record.
    Record(RecordHead, Vec<u16>),
    /// What it has counted.
    Counters(Counters),
}

/// A board at the other end of a line, looked for again where it has gone.
pub struct Board {
    line: Line,
    connection: Option<Box<dyn Connection>>,
    /// It has gone, and is looked for.
    looking: Option<JoinHandle<Connected>>,
    encoder: Encoder,
    receiver: Receiver,
    assembler: Assembler<Vec<u16>>,
    wants_events: bool,
    /// What it has not said since a frame was lost, which may have said so.
    unsaid: Unsaid,
    /// When it was last asked for its hello, and how many that it was asked for have not come.
    asked: Instant,
    due: u32,
    /// When it last said anything, once it has spoken on this connection.
    spoke: Option<Instant>,
    next_try: Instant,
    /// It was there, and has gone.
    went: bool,
    connections: u64,
    ended: bool,
    fault: Option<Error>,
}

/// What a board is yet to say.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Unsaid {
    Nothing,
    Settings,
    HelloAndSettings,
}

impl Board {
    /// The board on a line; its events are sent only where wanted.
    ///
    /// # Errors
    /// A line that is not there at first.
    pub fn connect(mut line: Line, wants_events: bool) -> io::Result<Self> {
        let connection = line.connect()?;
        let mut board = Self {
            line,
            connection: None,
            looking: None,
            encoder: Encoder::default(),
            receiver: Receiver::default(),
            assembler: Assembler::new(Vec::new()),
            wants_events,
            unsaid: Unsaid::Nothing,
            asked: Instant::now(),
            due: 0,
            spoke: None,
            next_try: Instant::now(),
            went: false,
            connections: 0,
            ended: false,
            fault: None,
        };
        board.open(connection);
        Ok(board)
    }

    /// The line's name.
    pub fn name(&self) -> String {
        self.line.name()
    }

    /// What came in: frames, damaged and missing ones.
    pub fn received(&self) -> Received {
        self.receiver.received()
    }

    /// Records that began and of which something was missing.
    pub fn broken(&self) -> u64 {
        self.assembler.broken()
    }

    /// How often a board began to speak on a connection.
    pub fn connections(&self) -> u64 {
        self.connections
    }

    /// Hellos that it was asked for and that are still to come.
    pub fn hellos_due(&self) -> u32 {
        // What has not come for so long is lost.
        if self.asked.elapsed() < AGAIN { self.due } else { 0 }
    }

    /// Whether it is there; one that has gone, once it speaks again.
    pub fn is_connected(&self) -> bool {
        self.connection.is_some() && (!self.went || self.spoke.is_some())
    }

    /// Whether it will not be there again: a recording at its end.
    pub fn has_ended(&self) -> bool {
        self.ended
    }

    /// What ended a recording before its end.
    pub fn take_fault(&mut self) -> Option<Error> {
        self.fault.take()
    }

    fn open(&mut self, mut connection: Box<dyn Connection>) {
        // Ends whatever the line has said while nobody spoke.
        let _ = connection.write_all(&[0]);
        self.connection = Some(connection);
        self.spoke = None;
        self.receiver.restart();
        self.assembler.break_off();
        self.due = 0;
        self.ask();
    }

    /// Where it has gone, looks whether it is there again; a while after a failure once more.
    fn look(&mut self) {
        match self.looking.take() {
            Some(looking) if looking.is_finished() => {
                self.next_try = Instant::now() + AGAIN;
                if let Ok(Ok(connection)) = looking.join() {
                    self.open(connection);
                }
            }
            None if !self.ended && Instant::now() >= self.next_try => {
                self.looking = self.line.connect_again();
            }
            looking => self.looking = looking,
        }
    }

    /// Asks what it is and what is set.
    fn ask(&mut self) {
        self.unsaid = Unsaid::HelloAndSettings;
        self.order(ToBoard::Hello);
    }

    /// Notes what it has said of what it is yet to say.
    fn heard(&mut self, news: &News) {
        if matches!(news, News::Hello(_)) {
            self.due = self.due.saturating_sub(1);
        }
        self.unsaid = match (news, self.unsaid) {
            (News::Missed, _) => Unsaid::HelloAndSettings,
            (News::Hello(_), Unsaid::HelloAndSettings) => Unsaid::Settings,
            (News::Settings { .. }, Unsaid::Settings) => Unsaid::Nothing,
            (_, unsaid) => unsaid,
        };
    }

    /// Asks something of the board; nothing where it is not there.
    pub fn order(&mut self, order: ToBoard) {
        if order == ToBoard::Hello {
            (self.due, self.asked) = (self.hellos_due().saturating_add(1), Instant::now());
        }
        let Some(connection) = &mut self.connection else { return };
        let mut frame = [0; LONGEST_FRAME];
        let frame = self.encoder.encode(&order, &mut frame);
        // A board that has gone is noticed where it is read.
        let _ = connection.write_all(frame);
    }

    /// Waits a little for bytes, and gives what they say.
    pub fn poll(&mut self) -> Vec<News> {
        let news = self.read();
        for news in &news {
            self.heard(news);
            // Also by itself, where it has begun anew and its line has not: it sends nothing then.
            if matches!(news, News::Hello(_)) {
                self.order(ToBoard::Records(true));
                self.order(ToBoard::Events(self.wants_events));
            }
        }
        if self.unsaid != Unsaid::Nothing && self.asked.elapsed() >= AGAIN {
            self.ask();
        }
        news
    }

    fn read(&mut self) -> Vec<News> {
        let mut news = Vec::new();
        let Some(connection) = &mut self.connection else {
            thread::sleep(Duration::from_millis(10));
            self.look();
            return news;
        };
        let mut bytes = [0; 4096];
        let reason = match connection.read(&mut bytes) {
            Ok(0) => "it was closed".to_owned(),
            Ok(count) => {
                for &byte in bytes.get(..count).unwrap_or_default() {
                    let Self { receiver, assembler, .. } = self;
                    let Received { frames, missing, .. } = receiver.received();
                    let next = receiver.push(byte).and_then(|message| heard(assembler, &message));
                    let now = receiver.received();
                    if now.frames != frames && self.spoke.is_none() {
                        self.spoke = Some(Instant::now());
                        self.connections += 1;
                        news.extend(self.went.then_some(News::Connected));
                    }
                    if now.missing != missing {
                        news.push(News::Missed);
                    }
                    // Once is enough.
                    if next != Some(News::RecordGoesOn) || next.as_ref() != news.last() {
                        news.extend(next);
                    }
                }
                self.spoke = self.spoke.map(|_| Instant::now());
                return news;
            }
            Err(error) => match error.kind() {
                // A recording may come by a pipe that stands still.
                io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock
                    if self.line.comes_back()
                        && self.spoke.is_some_and(|spoke| spoke.elapsed() >= SILENCE) =>
                {
                    "it says nothing any more".to_owned()
                }
                io::ErrorKind::TimedOut
                | io::ErrorKind::WouldBlock
                | io::ErrorKind::Interrupted => return news,
                _ => {
                    let reason = error.to_string();
                    self.fault = error.downcast().ok();
                    reason
                }
            },
        };
        connection.discard();
        let was_there = self.is_connected();
        (self.connection, self.went) = (None, true);
        self.next_try = Instant::now() + AGAIN;
        if self.line.comes_back() {
            // What takes calls and never speaks has not come back.
            news.extend(was_there.then_some(News::Gone(reason)));
        } else {
            self.ended = true;
            news.push(News::Ended(self.fault.as_ref().map(Error::to_string)));
        }
        news
    }
}

/// What a message says; records are put together from several.
pub fn heard(assembler: &mut Assembler<Vec<u16>>, message: &FromBoard<'_>) -> Option<News> {
    match *message {
        FromBoard::Hello(hello) => {
            let longest = (hello.longest as usize).min(LONGEST);
            assembler.grow(|buffer| buffer.resize(buffer.len().max(longest), 0));
            Some(News::Hello(hello))
        }
        FromBoard::Settings { settings, running } => Some(News::Settings { settings, running }),
        FromBoard::Event(event) => Some(News::Event(event)),
        FromBoard::Counters(counters) => Some(News::Counters(counters)),
        FromBoard::Record(_) => {
            assembler.push(message);
            Some(News::RecordBegins)
        }
        FromBoard::Samples { .. } => Some(match assembler.push(message) {
            Some(whole) => News::Record(whole.head, whole.samples.to_vec()),
            None => News::RecordGoesOn,
        }),
    }
}

#[cfg(test)]
mod tests;
