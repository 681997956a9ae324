//! What is said.

use serde::{Deserialize, Serialize};
use stillwave::{Event, EventKind, Instant, Scale, Slope};
use stillwave_app::{FrontEnd, Settings, Shot};

/// Samples in one [`FromBoard::Samples`], at most.
pub const CHUNK: usize = 120;

/// From the board to the computer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum FromBoard<'a> {
    /// What the board is: at its start and when asked.
    Hello(Hello),
    /// What is set now: after each change, and when asked.
    Settings {
        /// What the knobs set.
        settings: Settings,
        /// Whether it runs.
        running: bool,
    },
    /// An accepted event.
    Event(EventAt),
    /// A record begins; its samples follow.
    Record(RecordHead),
    /// Some of its samples.
    Samples {
        /// The record's number.
        number: u32,
        /// The index of the first of them in the record.
        first: u32,
        /// Two bytes each, little-endian.
        #[serde(borrow)]
        bytes: &'a [u8],
    },
    /// What the board has counted: twice a second.
    Counters(Counters),
}

/// From the computer to the board.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum ToBoard {
    /// Say hello, and what is set.
    Hello,
    /// Set these.
    Settings(Settings),
    /// Run; wait anew for a single record.
    Run,
    /// Stop.
    Stop,
    /// Send records from now on, or no more.
    Records(bool),
    /// Send events from now on, or no more.
    Events(bool),
    /// Find settings that fit the signal.
    Automatic,
}

/// What a board is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hello {
    /// Samples a second.
    pub rate: u32,
    /// The highest code.
    pub highest: u16,
    /// Samples in the longest record.
    pub longest: u32,
    /// Volts at the probe's tip for one count.
    pub volts_per_count: f64,
    /// Counts at 0 V.
    pub zero: f64,
}

impl Hello {
    /// Of a board with that front end and memory.
    pub fn new(front: &FrontEnd, longest: usize) -> Self {
        let FrontEnd { rate, highest, scale } = *front;
        let longest = u32::try_from(longest).unwrap_or(u32::MAX);
        Self { rate, highest, longest, volts_per_count: scale.volts_per_count, zero: scale.zero }
    }

    /// The board's converter.
    pub fn front(&self) -> FrontEnd {
        let scale = Scale { volts_per_count: self.volts_per_count, zero: self.zero };
        FrontEnd { rate: self.rate, highest: self.highest, scale }
    }
}

/// An accepted event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EventAt {
    /// The first sample at or past the level.
    pub position: u64,
    /// How far before it the level was crossed, in 1/65536 of a sample.
    pub lead: u32,
    /// Upwards; or else downwards.
    pub rising: bool,
}

impl From<Event> for EventAt {
    fn from(Event { at, kind }: Event) -> Self {
        let rising = matches!(kind, EventKind::Edge { slope: Slope::Rising });
        Self { position: at.position, lead: at.lead, rising }
    }
}

impl From<EventAt> for Instant {
    fn from(EventAt { position, lead, .. }: EventAt) -> Self {
        Self { position, lead }
    }
}

/// A record without its samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecordHead {
    /// Its number since the board's start.
    pub number: u32,
    /// How many samples it has.
    pub len: u32,
    /// The position of its first sample.
    pub start: u64,
    /// What started it; `None` where it was forced.
    pub event: Option<EventAt>,
}

impl From<&Shot<'_>> for RecordHead {
    fn from(shot: &Shot<'_>) -> Self {
        Self {
            number: shot.number as u32,
            len: shot.samples().len() as u32,
            start: shot.start,
            event: shot.event.map(EventAt::from),
        }
    }
}

/// What a board has counted since its start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counters {
    /// The position of the next sample.
    pub position: u64,
    /// Events, accepted or not.
    pub events: u64,
    /// Events that the holdoff refused.
    pub held_off: u64,
    /// Records finished.
    pub records: u64,
    /// Records forced without an event.
    pub forced: u64,
    /// Records that came while the last one was being looked at.
    pub passed_over: u64,
    /// Overruns of the converter.
    pub overruns: u64,
    /// Samples lost in them.
    pub lost: u64,
    /// Samples at the converter's end codes.
    pub clipped: u64,
    /// Frames that found no room on the way out.
    pub frames_dropped: u32,
    /// Records given up on the way out, whose reader had stalled.
    pub records_cut: u32,
    /// Events that found no room before they could become frames.
    pub events_dropped: u32,
    /// Frames from the computer that were damaged.
    pub frames_damaged: u32,
    /// Frames from the computer that never came.
    pub frames_missing: u32,
    /// How busy the processor is, in percent.
    pub load: u8,
}
