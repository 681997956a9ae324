//! Records.

use stillwave::Record;

use crate::StillwaveEvent;

/// The samples around an event. It and its samples are lent until the callback returns.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveRecord {
    /// The number of this record, from 0.
    pub number: u64,
    /// The position of its first sample.
    pub start: u64,
    /// The event that started it. Where `triggered` is 0 there was none: its position is where the
    /// record was forced, and all else is 0, which would read as a rising edge.
    pub event: StillwaveEvent,
    /// Its samples.
    pub samples: *const u16,
    /// How many there are.
    pub count: usize,
    /// The index of the first sample at or past the event.
    pub trigger_index: usize,
    /// 1 where an event started it, 0 where it was forced.
    pub triggered: u32,
}

impl From<Record<'_, u16>> for StillwaveRecord {
    fn from(record: Record<'_, u16>) -> Self {
        let (position, lead) = (record.at.position, record.at.lead);
        let forced = StillwaveEvent { position, lead, ..StillwaveEvent::default() };
        let samples = record.samples();
        Self {
            number: record.number,
            start: record.start,
            event: record.event.map_or(forced, StillwaveEvent::from),
            samples: samples.as_ptr(),
            count: samples.len(),
            trigger_index: record.trigger_index(),
            triggered: record.event.is_some().into(),
        }
    }
}
