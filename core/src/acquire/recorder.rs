//! The recorder: which samples belong to a record, and when it is finished.

use super::ring::Ring;
use super::{Mode, Record, RecordShape};
use crate::{Block, ConfigError, Event, Instant, Sample};

/// The phase of the recorder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Stopped,
    Waiting,
    /// Samples of a record are being collected.
    Filling,
}

/// Turns samples and events into records.
///
/// An [`Acquisition`](super::Acquisition) drives one from a trigger. Drive it by hand if events
/// come from elsewhere: for each block, call [`event`](Self::event) for each event in order, then
/// [`finish`](Self::finish).
///
/// A record needs its full pre-trigger since the start or the last gap; it may share samples with
/// the previous record. While a record is filling, no other starts. The buffer is split into one
/// equal section per channel, each at least as long as a record.
///
/// An event that comes from an input pin:
///
/// ```
/// use stillwave::{Block, Edge, EventKind, Event, Instant, Mode, RecordShape, Recorder, Slope};
/// let mut recorder = Recorder::new(RecordShape::new(1, 2)?, Mode::Normal, 1, [0_u8; 3])?;
/// let channels: [&[u8]; 1] = [&[5, 6, 7, 8]];
/// let block = Block::new(0, &channels);
/// // An input pin says that something happened at sample 2.
/// let event = Event { at: Instant::at(2), kind: EventKind::Edge { slope: Slope::Rising } };
/// let mut records = Vec::new();
/// recorder.event(&block, event, &mut |record| records.push(record.samples().to_vec()));
/// recorder.finish(&block, &mut |record| records.push(record.samples().to_vec()));
/// assert_eq!(records, [[6, 7, 8]]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Recorder<T, B> {
    ring: Ring<T, B>,
    shape: RecordShape,
    mode: Mode,
    phase: Phase,
    /// The samples that the record in progress still lacks.
    left: usize,
    /// The event of the record, unless the record was forced.
    event: Option<Event>,
    /// The position of the next sample to take, and the one at which the phase began.
    position: u64,
    since: u64,
    records: u64,
    forced: u64,
    unrecorded: u64,
    abandoned: u64,
}

impl<T: Sample, B: AsRef<[T]> + AsMut<[T]>> Recorder<T, B> {
    /// Makes a running recorder of the first `channels` channels into `buffer`.
    ///
    /// # Errors
    /// The errors of [`RecordShape::validated`] and [`Mode::validated`]; no channel; a buffer too
    /// short for `channels` records of that shape.
    pub fn new(
        shape: RecordShape,
        mode: Mode,
        channels: usize,
        buffer: B,
    ) -> Result<Self, ConfigError> {
        let shape = shape.validated()?;
        if channels == 0 {
            return Err(ConfigError::new("channels", 0.0, "1 or more"));
        }
        let ring = Ring::new(buffer, channels);
        if ring.depth() < shape.len() {
            let value = ring.buffer().len() as f64;
            return Err(ConfigError::new("buffer", value, "a record long for each channel"));
        }
        Ok(Self {
            ring,
            shape,
            mode: mode.validated()?,
            phase: Phase::Waiting,
            left: 0,
            event: None,
            position: 0,
            since: 0,
            records: 0,
            forced: 0,
            unrecorded: 0,
            abandoned: 0,
        })
    }

    /// Whether it waits for an event or fills a record.
    pub fn is_running(&self) -> bool {
        self.phase != Phase::Stopped
    }

    /// Waits for an event from now on: after a stop or a single record, or to re-arm at any time. A
    /// record in progress is abandoned.
    pub fn run(&mut self) {
        self.abandon();
        self.begin(Phase::Waiting);
    }

    /// Starts no record until [`run`](Self::run) is called. A record in progress is abandoned.
    pub fn stop(&mut self) {
        self.abandon();
        self.begin(Phase::Stopped);
    }

    /// Changes the mode from now on.
    ///
    /// # Errors
    /// The errors of [`Mode::validated`]; the old mode stays.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), ConfigError> {
        self.mode = mode.validated()?;
        Ok(())
    }

    /// Changes the record shape from now on. A record in progress is abandoned.
    ///
    /// # Errors
    /// The errors of [`RecordShape::validated`]; a record longer than the buffer. The old shape
    /// stays.
    pub fn set_shape(&mut self, shape: RecordShape) -> Result<(), ConfigError> {
        let shape = shape.validated()?;
        if self.ring.depth() < shape.len() {
            let value = shape.len() as f64;
            return Err(ConfigError::new("record length", value, "at most the buffer's"));
        }
        if self.is_running() {
            self.run();
        }
        // Of what is held only the old pre-trigger is without breaks, however the stream was cut;
        // where that is less than the new one, it fills up from there.
        self.ring.keep(self.shape.pre);
        self.shape = shape;
        Ok(())
    }

    /// Records an event in `block`, at or after the previous one: takes the samples before it, then
    /// starts its record if it can. An event that is not in `block` is not recorded.
    pub fn event(
        &mut self,
        block: &Block<'_, T>,
        event: Event,
        on_record: &mut (impl FnMut(Record<'_, T>) + ?Sized),
    ) {
        let from = self.enter(block);
        let to = offset(block, event.at.position);
        // Where a record is filling, and is not full before it, the samples can wait.
        if self.phase != Phase::Filling || to.saturating_sub(from) >= self.left {
            self.advance(block, from, to, on_record);
        }
        let here = event.at.position == self.position;
        if self.phase == Phase::Waiting && here && self.lacks() == 0 {
            self.start(Some(event));
        } else if self.is_running() {
            self.unrecorded += 1;
        }
    }

    /// Takes the rest of `block`.
    pub fn finish(
        &mut self,
        block: &Block<'_, T>,
        on_record: &mut (impl FnMut(Record<'_, T>) + ?Sized),
    ) {
        let from = self.enter(block);
        self.advance(block, from, block.len(), on_record);
    }

    /// Reports lost samples before `position`. A record in progress is abandoned, and the
    /// pre-trigger fills again from there.
    pub fn gap(&mut self, position: u64) {
        self.position = self.position.max(position);
        self.ring.keep(0);
        if self.phase == Phase::Filling {
            self.run();
        }
    }

    /// The number of samples of `block` that were taken already. Samples missing between it and the
    /// previous block are lost; so is a whole block that lacks a channel.
    fn enter(&mut self, block: &Block<'_, T>) -> usize {
        let is_whole = block.channels() >= self.ring.channels();
        let from = if is_whole { block.start() } else { block.end() };
        if from > self.position {
            self.gap(from);
        }
        offset(block, self.position)
    }

    /// Takes the samples of `block` up to `to`, of which `from` were taken already, and finishes
    /// and forces records on the way.
    fn advance(
        &mut self,
        block: &Block<'_, T>,
        mut from: usize,
        to: usize,
        on_record: &mut (impl FnMut(Record<'_, T>) + ?Sized),
    ) {
        loop {
            let (left, rest) = (self.left(), to.saturating_sub(from));
            let count = left.min(rest);
            self.take(block, from, count);
            from += count;
            match self.phase {
                Phase::Filling if left <= rest => self.deliver(on_record),
                // An event at that very position comes first.
                Phase::Waiting if left < rest => {
                    self.forced += 1;
                    self.start(None);
                }
                _ => return,
            }
        }
    }

    /// The number of samples until something happens by itself: a record is full, or is forced.
    fn left(&self) -> usize {
        match (self.phase, self.mode) {
            (Phase::Filling, _) => self.left,
            (Phase::Waiting, Mode::Auto { after }) => {
                let wait = after.saturating_sub(self.position - self.since);
                usize::try_from(wait).unwrap_or(usize::MAX).max(self.lacks())
            }
            _ => usize::MAX,
        }
    }

    /// The number of samples that the pre-trigger lacks.
    fn lacks(&self) -> usize {
        self.shape.pre.saturating_sub(self.ring.held())
    }

    /// Moves `count` samples into the ring; samples that no record can need are skipped.
    fn take(&mut self, block: &Block<'_, T>, from: usize, count: usize) {
        let mut wanted = count;
        if self.phase == Phase::Filling {
            self.left -= count;
        } else {
            wanted = count.min(self.shape.pre);
        }
        let to = from + count;
        self.ring.extend(block, to - wanted, to);
        self.position += count as u64;
    }

    fn start(&mut self, event: Option<Event>) {
        // Now and not when it is finished: there is less to move.
        self.ring.keep(self.shape.pre);
        self.ring.straighten();
        self.event = event;
        self.left = self.shape.post;
        self.begin(Phase::Filling);
    }

    fn deliver(&mut self, on_record: &mut (impl FnMut(Record<'_, T>) + ?Sized)) {
        let at = self.event.map_or(Instant::at(self.since), |event| event.at);
        self.begin(if self.mode == Mode::Single { Phase::Stopped } else { Phase::Waiting });
        let number = self.records;
        self.records += 1;
        on_record(Record {
            number,
            event: self.event,
            at,
            start: at.position.saturating_sub(self.shape.pre as u64),
            len: self.shape.len(),
            buffer: self.ring.buffer(),
            channels: self.ring.channels(),
        });
    }

    fn begin(&mut self, phase: Phase) {
        self.phase = phase;
        self.since = self.position;
    }

    fn abandon(&mut self) {
        if self.phase == Phase::Filling {
            self.abandoned += 1;
        }
    }

    /// The number of finished records, including forced ones.
    pub fn records(&self) -> u64 {
        self.records
    }

    /// The number of records started without an event.
    pub fn forced(&self) -> u64 {
        self.forced
    }

    /// The number of events that started no record: one was filling, or the pre-trigger was not
    /// full.
    pub fn unrecorded(&self) -> u64 {
        self.unrecorded
    }

    /// The number of records abandoned because of a gap, a stop or a change.
    pub fn abandoned(&self) -> u64 {
        self.abandoned
    }
}

/// The offset of a position in a block, or the block's end if the position is not in it.
#[inline]
fn offset<T>(block: &Block<'_, T>, position: u64) -> usize {
    let offset = position.saturating_sub(block.start());
    usize::try_from(offset).map_or(block.len(), |offset| offset.min(block.len()))
}
