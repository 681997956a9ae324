//! The whole path from samples to records.

use super::{Mode, Record, RecordShape, Recorder};
use crate::{Block, Condition, ConfigError, Event, Holdoff, Trigger};

/// A trigger with a recorder behind it: samples in, records out.
///
/// `B` is the memory for records: an array, a `&mut [T]` or a `Vec`, with room for at least one
/// record per channel. No other memory is used.
///
/// ```
/// use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Slope, Trigger};
/// let edge = Edge::new(Slope::Rising, Level::<u16>::new(2048, 40)?)?;
/// let trigger = Trigger::new(edge, Holdoff::None)?;
/// let shape = RecordShape::new(2, 3)?;
/// let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; 8])?;
///
/// let mut records = Vec::new();
/// for buffer in [[10, 11, 12, 13], [3000, 3001, 3002, 3003]] {
///     acquisition.push(&buffer, |record| records.push(record.samples().to_vec()));
/// }
/// assert_eq!(records, [[12, 13, 3000, 3001, 3002]]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Acquisition<C: Condition, B> {
    trigger: Trigger<C>,
    recorder: Recorder<C::Sample, B>,
    gaps: u64,
    lost: u64,
}

/// Counts of what an acquisition has seen and done.
///
/// All counts start when the acquisition is made; a stop or a change does not reset them.
///
/// ```
/// use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Slope, Trigger};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 10)?)?;
/// let trigger = Trigger::new(edge, Holdoff::Samples(3))?;
/// let mut acquisition = Acquisition::new(trigger, RecordShape::new(2, 2)?, Mode::Normal, [0; 4])?;
/// acquisition.push(&[0, 200, 0, 200, 0, 200, 0], |_| {});
/// let counters = acquisition.counters();
/// // The first event had no full pre-trigger, the second was held off, the third made a record.
/// assert_eq!((counters.events, counters.unrecorded, counters.held_off), (3, 1, 1));
/// assert_eq!(counters.records, 1);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Counters {
    /// The events of the condition, accepted or not.
    pub events: u64,
    /// The events that the holdoff refused.
    pub held_off: u64,
    /// The accepted events that started no record, because one was filling or the pre-trigger was
    /// not full.
    pub unrecorded: u64,
    /// The finished records, including forced ones.
    pub records: u64,
    /// The records started without an event.
    pub forced: u64,
    /// The records abandoned because of a gap, a stop or a change.
    pub abandoned: u64,
    /// The gaps in the stream.
    pub gaps: u64,
    /// The samples lost in gaps, as far as known.
    pub lost: u64,
}

impl<C: Condition, B: AsRef<[C::Sample]> + AsMut<[C::Sample]>> Acquisition<C, B> {
    /// Makes a running acquisition of channel 0.
    ///
    /// # Errors
    /// The errors of [`Recorder::new`].
    pub fn new(
        trigger: Trigger<C>,
        shape: RecordShape,
        mode: Mode,
        buffer: B,
    ) -> Result<Self, ConfigError> {
        Self::with_channels(trigger, shape, mode, 1, buffer)
    }

    /// Makes a running acquisition of the first `channels` channels. A push with fewer channels
    /// counts as a gap in its records.
    ///
    /// # Errors
    /// The errors of [`Recorder::new`].
    pub fn with_channels(
        trigger: Trigger<C>,
        shape: RecordShape,
        mode: Mode,
        channels: usize,
        buffer: B,
    ) -> Result<Self, ConfigError> {
        let recorder = Recorder::new(shape, mode, channels, buffer)?;
        Ok(Self { trigger, recorder, gaps: 0, lost: 0 })
    }

    /// Takes the next samples of channel 0 and calls `on_record` for every record they finish.
    #[inline]
    pub fn push(&mut self, samples: &[C::Sample], on_record: impl FnMut(Record<'_, C::Sample>)) {
        self.push_channels(&[samples], |_| {}, on_record);
    }

    /// Does the same as [`push`](Self::push) for several channels: one slice each, all of the same
    /// length.
    ///
    /// If lengths differ, samples beyond the end of the shortest slice are ignored. Also calls
    /// `on_event` for every accepted event, before the record that the event starts.
    pub fn push_channels(
        &mut self,
        channels: &[&[C::Sample]],
        mut on_event: impl FnMut(Event),
        mut on_record: impl FnMut(Record<'_, C::Sample>),
    ) {
        let block = Block::new(self.trigger.position(), channels);
        // One function for all conditions of a program.
        let on_record: &mut dyn FnMut(Record<'_, C::Sample>) = &mut on_record;
        let on_accepted: &mut dyn FnMut(Event) = &mut |event| {
            on_event(event);
            self.recorder.event(&block, event, on_record);
        };
        self.trigger.push_channels(channels, on_accepted);
        self.recorder.finish(&block, on_record);
    }

    /// Reports `lost` samples before the next one (an overrun, a lost frame).
    ///
    /// The condition disarms, a record in progress is abandoned, and positions advance by `lost`.
    /// If the number is not known, pass 0.
    pub fn gap(&mut self, lost: u64) {
        self.gaps += 1;
        self.lost = self.lost.saturating_add(lost);
        self.trigger.gap(lost);
        self.recorder.gap(self.trigger.position());
    }

    /// Whether it waits for an event or fills a record; `false` after [`stop`](Self::stop) or a
    /// single record.
    pub fn is_running(&self) -> bool {
        self.recorder.is_running()
    }

    /// Waits for an event from now on: after a stop or a single record, or to re-arm at any time. A
    /// record in progress is abandoned.
    pub fn run(&mut self) {
        self.recorder.run();
    }

    /// Starts no record until [`run`](Self::run) is called. A record in progress is abandoned.
    /// Samples pushed meanwhile keep the condition and the pre-trigger up to date.
    pub fn stop(&mut self) {
        self.recorder.stop();
    }

    /// Changes the mode from now on.
    ///
    /// # Errors
    /// The errors of [`Mode::validated`]; the old mode stays.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), ConfigError> {
        self.recorder.set_mode(mode)
    }

    /// Changes the record shape from now on. A record in progress is abandoned.
    ///
    /// # Errors
    /// The errors of [`Recorder::set_shape`]; the old shape stays.
    pub fn set_shape(&mut self, shape: RecordShape) -> Result<(), ConfigError> {
        self.recorder.set_shape(shape)
    }

    /// Replaces the holdoff from now on.
    ///
    /// # Errors
    /// The errors of [`Holdoff::validated`]; the old holdoff stays.
    pub fn set_holdoff(&mut self, holdoff: Holdoff) -> Result<(), ConfigError> {
        self.trigger.set_holdoff(holdoff)
    }

    /// Replaces the condition from the next sample on. Holdoff, counts and a record in progress
    /// continue.
    pub fn set_condition(&mut self, condition: C) {
        self.trigger.set_condition(condition);
    }

    /// The counts so far.
    pub fn counters(&self) -> Counters {
        Counters {
            events: self.trigger.events(),
            held_off: self.trigger.held_off(),
            unrecorded: self.recorder.unrecorded(),
            records: self.recorder.records(),
            forced: self.recorder.forced(),
            abandoned: self.recorder.abandoned(),
            gaps: self.gaps,
            lost: self.lost,
        }
    }
}
