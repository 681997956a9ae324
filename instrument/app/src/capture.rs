//! The side of the interrupt: blocks in, records out.

use stillwave::{
    Acquisition, AnyCondition, ConfigError, Counters, Event, Holdoff, Instant, Mode, Monitor,
    Record, RecordShape, Setup, Trigger,
};

/// What to capture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrangement {
    /// The condition.
    pub setup: Setup<u16>,
    /// What is held off.
    pub holdoff: Holdoff,
    /// How much before and after.
    pub shape: RecordShape,
    /// What it waits for.
    pub mode: Mode,
}

/// A record, in memory that goes back to the [`Capture`] by [`Capture::give_back`].
#[derive(Debug)]
pub struct Shot<'m> {
    memory: &'m mut [u16],
    len: usize,
    /// The number of the record, from 0.
    pub number: u64,
    /// What it is aligned on.
    pub at: Instant,
    /// The position of its first sample.
    pub start: u64,
    /// What started it; `None` where it was forced.
    pub event: Option<Event>,
}

impl<'m> Shot<'m> {
    /// A copy of `record`, as far as it fits.
    fn copy(record: &Record<'_, u16>, memory: &'m mut [u16]) -> Self {
        let samples = record.samples();
        let len = samples.len().min(memory.len());
        if let (Some(to), Some(from)) = (memory.get_mut(..len), samples.get(..len)) {
            to.copy_from_slice(from);
        }
        let Record { number, at, start, event, .. } = *record;
        Self { memory, len, number, at, start, event }
    }

    /// Its samples.
    pub fn samples(&self) -> &[u16] {
        self.memory.get(..self.len).unwrap_or_default()
    }

    /// Where the crossing lies, in samples from the first.
    pub fn trigger_at(&self) -> f32 {
        self.at.position.saturating_sub(self.start) as f32 - self.at.lead as f32 / 65_536.0
    }
}

/// Where the next record for the screen goes.
#[derive(Debug)]
enum Slot<'m> {
    /// Its memory is with the other side.
    Away,
    Free(&'m mut [u16]),
    Filled(Shot<'m>),
}

/// What a capture has seen and done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Counts {
    /// The engine's.
    pub engine: Counters,
    /// Records that came while the last one was still being looked at.
    pub passed_over: u64,
    /// Samples at the converter's end codes.
    pub clipped: u64,
    /// The position of the next sample.
    pub position: u64,
}

/// Blocks in, records out: a trigger and its recorder, with two stretches of memory. One takes
/// samples, the other holds a finished record for as long as it is looked at.
#[derive(Debug)]
pub struct Capture<'m> {
    acquisition: Acquisition<AnyCondition<u16>, &'m mut [u16]>,
    monitor: Monitor<u16>,
    slot: Slot<'m>,
    longest: usize,
    passed_over: u64,
    position: u64,
}

impl<'m> Capture<'m> {
    /// A capture of 12-bit (or `highest`-coded) samples, running.
    ///
    /// # Errors
    /// An arrangement that the engine refuses, or that needs more memory.
    pub fn new(
        arrangement: Arrangement,
        highest: u16,
        recording: &'m mut [u16],
        shown: &'m mut [u16],
    ) -> Result<Self, ConfigError> {
        let Arrangement { setup, holdoff, shape, mode } = arrangement;
        let longest = recording.len().min(shown.len());
        let trigger = Trigger::new(setup.build()?, holdoff)?;
        Ok(Self {
            acquisition: Acquisition::new(trigger, shape, mode, recording)?,
            monitor: Monitor::new(0, highest)?,
            slot: Slot::Free(shown),
            longest,
            passed_over: 0,
            position: 0,
        })
    }

    /// The longest record that the memory holds.
    pub fn longest(&self) -> usize {
        self.longest
    }

    /// Takes the converter's next samples, and tells of every accepted event.
    pub fn push(&mut self, samples: &[u16], on_event: impl FnMut(Event)) {
        let Self { acquisition, monitor, slot, passed_over, .. } = self;
        monitor.push(samples);
        acquisition.push_channels(&[samples], on_event, |record| {
            match core::mem::replace(slot, Slot::Away) {
                Slot::Free(memory) => *slot = Slot::Filled(Shot::copy(&record, memory)),
                // Nobody has looked at the last one yet: the newest is what is wanted.
                Slot::Filled(old) => {
                    *passed_over += 1;
                    *slot = Slot::Filled(Shot::copy(&record, old.memory));
                }
                Slot::Away => *passed_over += 1,
            }
        });
        self.position = self.position.saturating_add(samples.len() as u64);
    }

    /// Tells of `lost` samples before the next: an overrun.
    pub fn gap(&mut self, lost: u64) {
        self.acquisition.gap(lost);
        self.position = self.position.saturating_add(lost);
    }

    /// Captures otherwise from now on; what was caught before is dropped.
    ///
    /// # Errors
    /// An arrangement that the engine refuses, or that needs more memory; the parts before it in
    /// order of [`Arrangement`]'s fields are then in force.
    pub fn arrange(&mut self, arrangement: Arrangement) -> Result<(), ConfigError> {
        let Arrangement { setup, holdoff, shape, mode } = arrangement;
        self.acquisition.set_condition(setup.build()?);
        self.acquisition.set_holdoff(holdoff)?;
        self.acquisition.set_shape(shape)?;
        self.acquisition.set_mode(mode)?;
        self.drop_filled();
        Ok(())
    }

    /// Waits for an event from now on.
    pub fn run(&mut self) {
        self.drop_filled();
        self.acquisition.run();
    }

    /// Starts no record until run again.
    pub fn stop(&mut self) {
        self.acquisition.stop();
    }

    /// Whether it waits for an event or fills a record.
    pub fn is_running(&self) -> bool {
        self.acquisition.is_running()
    }

    /// The newest record that nobody has taken. Its memory is needed for the next: see
    /// [`give_back`](Self::give_back).
    pub fn take(&mut self) -> Option<Shot<'m>> {
        match core::mem::replace(&mut self.slot, Slot::Away) {
            Slot::Filled(shot) => Some(shot),
            other => {
                self.slot = other;
                None
            }
        }
    }

    /// The record has been looked at.
    pub fn give_back(&mut self, shot: Shot<'m>) {
        let Shot { memory, .. } = shot;
        self.slot = Slot::Free(memory);
    }

    /// What it has seen and done.
    pub fn counts(&self) -> Counts {
        Counts {
            engine: self.acquisition.counters(),
            passed_over: self.passed_over,
            clipped: self.monitor.quality().clipped,
            position: self.position,
        }
    }

    fn drop_filled(&mut self) {
        if let Some(shot) = self.take() {
            self.give_back(shot);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Capture;
    use crate::{FrontEnd, Mode, Settings};

    fn ramp(len: u64) -> impl Iterator<Item = u16> {
        (0..len).map(|i| (i % 1_000 * 4) as u16)
    }

    fn settings(mode: Mode) -> Settings {
        Settings { mode, time_us: 50, ..Settings::default() }
    }

    #[test]
    fn a_record_is_kept_while_it_is_looked_at() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        let (mut recording, mut shown) = ([0; 512], [0; 512]);
        let arrangement = settings(Mode::Normal).arrangement(&front).unwrap();
        let mut capture = Capture::new(arrangement, 4095, &mut recording, &mut shown).unwrap();
        let samples: Vec<u16> = ramp(10_000).collect();
        let mut events = Vec::new();
        let mut blocks = samples.chunks(250);
        let mut feed = |capture: &mut Capture<'_>, n| {
            for block in blocks.by_ref().take(n) {
                capture.push(block, |event| events.push(event.at.position));
            }
        };
        feed(&mut capture, 4);
        let shot = capture.take().expect("a record by now");
        let copy = shot.samples().to_vec();
        assert_eq!(copy, samples[517 - 51..517 + 151]);
        assert_eq!((shot.start, shot.at.position, shot.number), (466, 517, 0));
        assert!(capture.take().is_none());
        feed(&mut capture, 8);
        assert_eq!(shot.samples(), copy);
        assert_eq!(capture.counts().passed_over, 2);
        capture.give_back(shot);
        feed(&mut capture, 8);
        // Two came: the newest is there, the other is counted.
        assert_eq!(capture.take().unwrap().number, 4);
        assert_eq!(capture.counts().passed_over, 3);
        assert_eq!(events, [517, 1_517, 2_517, 3_517, 4_517]);
        assert_eq!(capture.counts().position, 5_000);
        assert_eq!(capture.counts().clipped, 5);
    }

    #[test]
    fn single_stops_and_a_gap_is_counted() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        let (mut recording, mut shown) = ([0; 512], [0; 512]);
        let arrangement = settings(Mode::Single).arrangement(&front).unwrap();
        let mut capture = Capture::new(arrangement, 4095, &mut recording, &mut shown).unwrap();
        let samples: Vec<u16> = ramp(3_000).collect();
        capture.push(&samples, |_| {});
        assert!(!capture.is_running());
        assert_eq!(capture.counts().engine.records, 1);
        capture.gap(7);
        capture.run();
        assert!(capture.take().is_none(), "what was caught before is dropped");
        capture.push(&samples, |_| {});
        assert_eq!(capture.take().unwrap().at.position, 3_007 + 517);
        let counts = capture.counts();
        assert_eq!((counts.engine.gaps, counts.engine.lost, counts.position), (1, 7, 6_007));
    }
}
