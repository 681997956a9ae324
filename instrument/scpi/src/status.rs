//! The registers of IEEE 488.2 (11) and SCPI-1999 (volume 1, 9), and the queue of errors.
//! Standards are cited from memory.

use heapless::Deque;
use microscpi::Error;

use crate::Missing;

/// Errors that wait to be asked for.
const QUEUE: usize = 16;
/// Standard errors that the parser's crate has no name for, or another one (SCPI-1999, volume 2,
/// 21.8).
pub(crate) const INIT_IGNORED: Error = Error::Custom(-213, "Init ignored");
const HARDWARE_MISSING: Error = Error::Custom(-241, "Hardware missing");
pub(crate) const TIME_OUT: Error = Error::Custom(-365, "Time out error");

impl From<Missing> for Error {
    fn from(Missing: Missing) -> Self {
        HARDWARE_MISSING
    }
}

/// Bits of the standard event register (IEEE 488.2, 11.5.1).
const COMPLETE: u8 = 1;
const QUERY_ERROR: u8 = 1 << 2;
const DEVICE_ERROR: u8 = 1 << 3;
const EXECUTION_ERROR: u8 = 1 << 4;
const COMMAND_ERROR: u8 = 1 << 5;

/// Bits of the status byte (IEEE 488.2, 11.2; SCPI-1999, volume 1, 9.2).
const ERROR_QUEUE: u8 = 1 << 2;
const QUESTIONABLE: u8 = 1 << 3;
const MESSAGE: u8 = 1 << 4;
const EVENT: u8 = 1 << 5;
const SERVICE: u8 = 1 << 6;
const OPERATION: u8 = 1 << 7;

/// Bits of an operation's condition.
pub(crate) const WAITING: u16 = 1 << 5;
/// Of a questionable one.
pub(crate) const VOLTAGE: u16 = 1;
pub(crate) const TIME: u16 = 1 << 2;
pub(crate) const FREQUENCY: u16 = 1 << 5;

/// A condition, and what became true of it since it was last asked for.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Group {
    pub(crate) condition: u16,
    event: u16,
    pub(crate) enable: u16,
}

impl Group {
    pub(crate) fn note(&mut self, condition: u16) {
        self.event |= condition & !self.condition;
        self.condition = condition;
    }

    pub(crate) fn take_event(&mut self) -> u16 {
        core::mem::take(&mut self.event)
    }
}

/// What a session has to tell when asked.
#[derive(Clone, Debug, Default)]
pub(crate) struct Status {
    errors: Deque<Error, QUEUE>,
    event: u8,
    pub(crate) event_enable: u8,
    pub(crate) service_enable: u8,
    /// `*OPC` waits for the end of what is under way.
    pub(crate) awaits_end: bool,
    pub(crate) operation: Group,
    pub(crate) questionable: Group,
}

impl Status {
    /// An error into the queue; the last one gives way where it is full.
    pub(crate) fn error(&mut self, error: Error) {
        self.event |= match error.number() {
            -199..=-100 => COMMAND_ERROR,
            -299..=-200 => EXECUTION_ERROR,
            -499..=-400 => QUERY_ERROR,
            _ => DEVICE_ERROR,
        };
        if self.errors.push_back(error).is_err() {
            self.errors.pop_back();
            self.event |= DEVICE_ERROR;
            let _ = self.errors.push_back(Error::QueueOverflow);
        }
    }

    pub(crate) fn next_error(&mut self) -> (i16, &'static str) {
        self.errors.pop_front().map_or((0, "No error"), |error| (error.number(), error.into()))
    }

    pub(crate) fn error_count(&self) -> usize {
        self.errors.len()
    }

    /// What was under way has ended.
    pub(crate) fn complete(&mut self) {
        self.event |= COMPLETE;
        self.awaits_end = false;
    }

    pub(crate) fn take_event(&mut self) -> u8 {
        core::mem::take(&mut self.event)
    }

    /// The status byte; `message` is whether an answer waits to be read.
    pub(crate) fn byte(&self, message: bool) -> u8 {
        let bit = |bit, on| if on { bit } else { 0 };
        let active = |group: &Group| group.event & group.enable != 0;
        let byte = bit(ERROR_QUEUE, !self.errors.is_empty())
            | bit(QUESTIONABLE, active(&self.questionable))
            | bit(MESSAGE, message)
            | bit(EVENT, self.event & self.event_enable != 0)
            | bit(OPERATION, active(&self.operation));
        byte | bit(SERVICE, byte & self.service_enable & !SERVICE != 0)
    }

    /// `*CLS`: all events and errors are forgotten, what is enabled stays (IEEE 488.2, 10.3).
    pub(crate) fn clear(&mut self) {
        self.errors.clear();
        (self.event, self.awaits_end) = (0, false);
        self.operation.event = 0;
        self.questionable.event = 0;
    }

    /// `STATus:PRESet`.
    pub(crate) fn preset(&mut self) {
        self.operation.enable = 0;
        self.questionable.enable = 0;
    }
}
