//! The whole way from samples to records.

use super::{Mode, Record, RecordShape, Recorder};
use crate::{Block, Condition, ConfigError, Event, Holdoff, Trigger};

/// A trigger and the recorder behind it: samples in, records out.
///
/// `B` is the memory for records: an array, a `&mut [T]`, a `Vec`; at least a record long for
/// each channel. There is no other memory.
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

/// What an acquisition has seen and done.
///
/// All count from when the acquisition was made; a stop or a change does not set them back.
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
    /// Events of the condition, accepted or not.
    pub events: u64,
    /// Events that the holdoff refused.
    pub held_off: u64,
    /// Accepted events that started no record: one was filling, or the pre-trigger was not full.
    pub unrecorded: u64,
    /// Records finished, forced ones included.
    pub records: u64,
    /// Records started without an event.
    pub forced: u64,
    /// Records given up by a gap, a stop or a change.
    pub abandoned: u64,
    /// Gaps in the stream.
    pub gaps: u64,
    /// Samples lost in them, as far as known.
    pub lost: u64,
}

impl<C: Condition, B: AsRef<[C::Sample]> + AsMut<[C::Sample]>> Acquisition<C, B> {
    /// An acquisition of channel 0, running.
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

    /// An acquisition of the first `channels` channels, running. A push that brings fewer is a gap
    /// to its records.
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

    /// Takes the next samples of channel 0 and gives every record that they finish.
    #[inline]
    pub fn push(&mut self, samples: &[C::Sample], on_record: impl FnMut(Record<'_, C::Sample>)) {
        self.push_channels(&[samples], |_| {}, on_record);
    }

    /// As [`push`](Self::push), for several channels: one slice each, of one length; what some have
    /// beyond the shortest is passed over. Also gives every accepted event, before the record that
    /// it starts.
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

    /// Tells of `lost` samples before the next (an overrun, a lost frame): the condition disarms,
    /// a record under way is abandoned, positions go on. Where their number is not known, 0 will
    /// do.
    pub fn gap(&mut self, lost: u64) {
        self.gaps += 1;
        self.lost = self.lost.saturating_add(lost);
        self.trigger.gap(lost);
        self.recorder.gap(self.trigger.position());
    }

    /// Whether it waits for an event or fills a record; not so after [`stop`](Self::stop) or a
    /// single record.
    pub fn is_running(&self) -> bool {
        self.recorder.is_running()
    }

    /// Waits for an event from now on: after a stop or a single record, or to re-arm at any time.
    /// A record under way is abandoned.
    pub fn run(&mut self) {
        self.recorder.run();
    }

    /// Starts no record until run again. A record under way is abandoned. Samples pushed meanwhile
    /// keep the condition and the pre-trigger up to date.
    pub fn stop(&mut self) {
        self.recorder.stop();
    }

    /// Another mode from now on.
    ///
    /// # Errors
    /// The errors of [`Mode::validated`]; the old mode stays.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), ConfigError> {
        self.recorder.set_mode(mode)
    }

    /// Records of another shape from now on. A record under way is abandoned.
    ///
    /// # Errors
    /// The errors of [`Recorder::set_shape`]; the old shape stays.
    pub fn set_shape(&mut self, shape: RecordShape) -> Result<(), ConfigError> {
        self.recorder.set_shape(shape)
    }

    /// Holds off otherwise from now on.
    ///
    /// # Errors
    /// The errors of [`Holdoff::validated`]; the old holdoff stays.
    pub fn set_holdoff(&mut self, holdoff: Holdoff) -> Result<(), ConfigError> {
        self.trigger.set_holdoff(holdoff)
    }

    /// Waits for another condition from the next sample on. Holdoff, counts and a record under way
    /// go on.
    pub fn set_condition(&mut self, condition: C) {
        self.trigger.set_condition(condition);
    }

    /// What it has seen and done.
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
