//! The recorder: which samples belong to a record, and when it is finished.

use super::ring::Ring;
use super::{Mode, Record, RecordShape};
use crate::{Block, ConfigError, Event, EventKind, Instant, Sample};

/// What the recorder is doing.
#[derive(Clone, Copy, Debug)]
enum Phase {
    Stopped,
    /// Since this position.
    Waiting(u64),
    /// The samples of a record come in: of which event, if of any, and when.
    Filling(Option<EventKind>, Instant),
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
#[derive(Clone, Debug)]
pub struct Recorder<T, B> {
    ring: Ring<T, B>,
    shape: RecordShape,
    mode: Mode,
    phase: Phase,
    /// The next sample to take, and the first one since the start or the last gap.
    position: u64,
    first: u64,
    records: u64,
    forced: u64,
    unrecorded: u64,
    abandoned: u64,
}

impl<T: Sample, B: AsRef<[T]> + AsMut<[T]>> Recorder<T, B> {
    /// A recorder of the first `channels` channels into `buffer`, running.
    ///
    /// # Errors
    /// As [`RecordShape::validated`] and [`Mode::validated`]; no channel; a buffer too short for
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
            phase: Phase::Waiting(0),
            position: 0,
            first: 0,
            records: 0,
            forced: 0,
            unrecorded: 0,
            abandoned: 0,
        })
    }

    /// Whether it waits for an event or fills a record.
    pub fn is_running(&self) -> bool {
        !matches!(self.phase, Phase::Stopped)
    }

    fn is_waiting(&self) -> bool {
        matches!(self.phase, Phase::Waiting(_))
    }

    /// Waits for an event from now on: after a stop or a single record, or to re-arm at any time.
    /// A record under way is abandoned.
    pub fn run(&mut self) {
        self.abandon();
        self.phase = Phase::Waiting(self.position);
    }

    /// Starts no record until run again. A record under way is abandoned.
    pub fn stop(&mut self) {
        self.abandon();
        self.phase = Phase::Stopped;
    }

    /// Another mode from now on.
    ///
    /// # Errors
    /// As [`Mode::validated`]; the old mode stays.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), ConfigError> {
        self.mode = mode.validated()?;
        Ok(())
    }

    /// Records of another shape from now on. A record under way is abandoned.
    ///
    /// # Errors
    /// As [`RecordShape::validated`]; a record longer than the buffer. The old shape stays.
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
        self.first = self.first.max(self.position.saturating_sub(self.ring.held() as u64));
        self.shape = shape;
        Ok(())
    }

    /// An event in `block`: takes the samples before it, then starts its record where it may.
    pub fn event(
        &mut self,
        block: &Block<'_, T>,
        event: Event,
        on_record: &mut impl FnMut(Record<'_, T>),
    ) {
        let position = event.at.position;
        // Where a record is filling, and is not full before it, the samples can wait.
        if self.is_waiting() || position >= self.due() || block.start() > self.position {
            self.advance(block, position, on_record);
        }
        if self.is_waiting() && position >= self.first.saturating_add(self.shape.pre as u64) {
            self.start(Some(event.kind), event.at);
        } else if self.is_running() {
            self.unrecorded += 1;
        }
    }

    /// Takes what is left of `block`.
    pub fn finish(&mut self, block: &Block<'_, T>, on_record: &mut impl FnMut(Record<'_, T>)) {
        self.advance(block, block.end(), on_record);
    }

    /// Tells of lost samples before `position`: a record under way is abandoned, and the
    /// pre-trigger fills anew from there.
    pub fn gap(&mut self, position: u64) {
        self.position = self.position.max(position);
        self.first = self.position;
        self.ring.keep(0);
        if matches!(self.phase, Phase::Filling(..)) {
            self.run();
        }
    }

    /// Takes the samples before `to`, finishing and forcing records on the way.
    fn advance(
        &mut self,
        block: &Block<'_, T>,
        to: u64,
        on_record: &mut impl FnMut(Record<'_, T>),
    ) {
        if block.start() > self.position {
            self.gap(block.start());
        }
        loop {
            let due = self.due();
            self.take(block, due.min(to));
            match self.phase {
                // Counted in samples: beyond the last position there are none.
                Phase::Filling(kind, at)
                    if self.position.saturating_sub(at.position) >= self.shape.post as u64 =>
                {
                    self.deliver(kind, at, on_record);
                }
                // An event at that very position comes first.
                Phase::Waiting(_) if due < to => {
                    self.forced += 1;
                    self.start(None, Instant::at(self.position));
                }
                _ => return,
            }
        }
    }

    /// The position before which nothing happens by itself: where a record is full, or forced.
    fn due(&self) -> u64 {
        match (self.phase, self.mode) {
            (Phase::Filling(_, at), _) => at.position.saturating_add(self.shape.post as u64),
            (Phase::Waiting(since), Mode::Auto { after }) => since
                .saturating_add(after)
                .max(self.first.saturating_add(self.shape.pre as u64))
                .max(self.position),
            _ => u64::MAX,
        }
    }

    /// Moves the samples up to `to` into the ring; those that no record can want are passed over.
    fn take(&mut self, block: &Block<'_, T>, to: u64) {
        let from = self.position.saturating_sub(block.start()) as usize;
        let to_index = (to.saturating_sub(block.start()) as usize).min(block.len());
        if from >= to_index {
            return;
        }
        let wanted = match self.phase {
            Phase::Filling(..) => usize::MAX,
            _ => self.shape.pre,
        };
        let start = from.max(to_index.saturating_sub(wanted));
        self.ring.extend(block, start, to_index);
        self.position = block.start().saturating_add(to_index as u64);
    }

    fn start(&mut self, kind: Option<EventKind>, at: Instant) {
        // Now and not when it is finished: there is less to move.
        self.ring.keep(self.shape.pre);
        self.ring.straighten();
        self.phase = Phase::Filling(kind, at);
    }

    fn deliver(
        &mut self,
        kind: Option<EventKind>,
        at: Instant,
        on_record: &mut impl FnMut(Record<'_, T>),
    ) {
        self.ring.straighten();
        self.phase = match self.mode {
            Mode::Single => Phase::Stopped,
            Mode::Normal | Mode::Auto { .. } => Phase::Waiting(self.position),
        };
        let number = self.records;
        self.records += 1;
        on_record(Record {
            number,
            event: kind.map(|kind| Event { at, kind }),
            at,
            start: at.position.saturating_sub(self.shape.pre as u64),
            len: self.shape.len(),
            buffer: self.ring.buffer(),
            channels: self.ring.channels(),
        });
    }

    fn abandon(&mut self) {
        if matches!(self.phase, Phase::Filling(..)) {
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
