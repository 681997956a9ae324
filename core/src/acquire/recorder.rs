//! The recorder: which samples belong to a record, and when it is finished.

use super::ring::Ring;
use super::{Mode, Record, RecordShape};
use crate::{Block, ConfigError, Event, Instant, Sample};

/// What the recorder is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Stopped,
    Waiting,
    /// The samples of a record come in.
    Filling,
}

/// Takes samples and events, and gives records.
///
/// [`Acquisition`](super::Acquisition) drives one from a trigger; drive it by hand where events
/// come from elsewhere: for each block, [`event`](Self::event) for each event in order, then
/// [`finish`](Self::finish).
///
/// A record needs its full pre-trigger since the start or the last gap; it may share samples with
/// the record before. While a record fills no other starts. The buffer is split into one equal
/// stretch a channel, each at least as long as a record.
///
/// An event from elsewhere, such as an input pin:
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
    /// Samples that the record under way still lacks.
    left: usize,
    /// What it is of, unless it was forced.
    event: Option<Event>,
    /// The next sample to take, and the one at which the phase began.
    position: u64,
    since: u64,
    records: u64,
    forced: u64,
    unrecorded: u64,
    abandoned: u64,
}

impl<T: Sample, B: AsRef<[T]> + AsMut<[T]>> Recorder<T, B> {
    /// A recorder of the first `channels` channels into `buffer`, running.
    ///
    /// # Errors
    /// The errors of [`RecordShape::validated`] and [`Mode::validated`]; no channel; a buffer too short for
    /// `channels` records of that shape.
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

    /// Waits for an event from now on: after a stop or a single record, or to re-arm at any time.
    /// A record under way is abandoned.
    pub fn run(&mut self) {
        self.abandon();
        self.begin(Phase::Waiting);
    }

    /// Starts no record until run again. A record under way is abandoned.
    pub fn stop(&mut self) {
        self.abandon();
        self.begin(Phase::Stopped);
    }

    /// Another mode from now on.
    ///
    /// # Errors
    /// The errors of [`Mode::validated`]; the old mode stays.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), ConfigError> {
        self.mode = mode.validated()?;
        Ok(())
    }

    /// Records of another shape from now on. A record under way is abandoned.
    ///
    /// # Errors
    /// The errors of [`RecordShape::validated`]; a record longer than the buffer. The old shape stays.
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

    /// An event in `block`, at or behind the one before: takes the samples before it, then starts
    /// its record where it may. One that lies elsewhere is not recorded.
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

    /// Takes what is left of `block`.
    pub fn finish(
        &mut self,
        block: &Block<'_, T>,
        on_record: &mut (impl FnMut(Record<'_, T>) + ?Sized),
    ) {
        let from = self.enter(block);
        self.advance(block, from, block.len(), on_record);
    }

    /// Tells of lost samples before `position`: a record under way is abandoned, and the
    /// pre-trigger fills anew from there.
    pub fn gap(&mut self, position: u64) {
        self.position = self.position.max(position);
        self.ring.keep(0);
        if self.phase == Phase::Filling {
            self.run();
        }
    }

    /// How many samples of `block` were taken; those between it and the block before are lost, and
    /// a whole block that has not all channels.
    fn enter(&mut self, block: &Block<'_, T>) -> usize {
        let is_whole = block.channels() >= self.ring.channels();
        let from = if is_whole { block.start() } else { block.end() };
        if from > self.position {
            self.gap(from);
        }
        offset(block, self.position)
    }

    /// Takes the samples of `block` before `to`, of which `from` were taken, finishing and forcing
    /// records on the way.
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

    /// How many samples it takes until something happens by itself: a record is full, or forced.
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

    /// How many samples the pre-trigger lacks.
    fn lacks(&self) -> usize {
        self.shape.pre.saturating_sub(self.ring.held())
    }

    /// Moves `count` samples into the ring; those that no record can want are passed over.
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

    /// Records finished, forced ones included.
    pub fn records(&self) -> u64 {
        self.records
    }

    /// Records started without an event.
    pub fn forced(&self) -> u64 {
        self.forced
    }

    /// Events that started no record: one was filling, or the pre-trigger was not full.
    pub fn unrecorded(&self) -> u64 {
        self.unrecorded
    }

    /// Records given up by a gap, a stop or a change.
    pub fn abandoned(&self) -> u64 {
        self.abandoned
    }
}

/// Where a position is in a block: at its end if it is not.
#[inline]
fn offset<T>(block: &Block<'_, T>, position: u64) -> usize {
    let offset = position.saturating_sub(block.start());
    usize::try_from(offset).map_or(block.len(), |offset| offset.min(block.len()))
}
