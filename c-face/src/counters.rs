//! What an acquisition has seen and done.

use stillwave::Counters;

/// What an acquisition has seen and done.
#[derive(Clone, Copy, Debug, Default)]
#[repr(C)]
pub struct StillwaveCounters {
    /// Events of the condition, accepted or not.
    pub events: u64,
    /// Events that the holdoff refused.
    pub held_off: u64,
    /// Accepted events that started no record: one was filling, or the pre-trigger was not full.
    /// While stopped, none is counted.
    pub unrecorded: u64,
    /// Records finished, forced ones included.
    pub records: u64,
    /// Records started without an event.
    pub forced: u64,
    /// Records given up by a gap, a stop or a run.
    pub abandoned: u64,
    /// Gaps in the stream.
    pub gaps: u64,
    /// Samples lost in them, as far as known.
    pub lost: u64,
}

impl From<Counters> for StillwaveCounters {
    fn from(counters: Counters) -> Self {
        let Counters { events, held_off, unrecorded, records, forced, abandoned, gaps, lost } =
            counters;
        Self { events, held_off, unrecorded, records, forced, abandoned, gaps, lost }
    }
}
