//! The way from a recording to its records, shared by every command that needs them.

use std::ops::ControlFlow;

use stillwave::{Block, Counters, Event, Mode, Record, Recorder, Sample, Scale, Trigger};

use crate::args::{self, InputArgs, JobArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::export::{ChannelContext, Context};
use crate::input::{self, Reader, Recording};
use crate::plan::{self, Sources, TriggerPlan};
use crate::stream::{self, Read};
use crate::{note, setup};

/// Which channels of a recording are read: those to be recorded, then those of the trigger that are
/// not among them. All counted from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChannelPlan {
    /// The channels to record; all where nothing is said.
    pub recorded: Option<Vec<usize>>,
    /// The channel to trigger on.
    pub trigger: usize,
    /// Further channels that the trigger looks at.
    pub others: Vec<usize>,
}

impl ChannelPlan {
    /// The channels that the options name.
    ///
    /// # Errors
    /// Channel 0, or one named twice.
    pub fn new(job: &JobArgs) -> Result<Self, Error> {
        let JobArgs { trigger, record, .. } = job;
        let recorded = match &record.record {
            None => None,
            Some(numbers) => {
                let mut channels = Vec::new();
                for &number in numbers {
                    let channel = args::from_one("--record", number)?;
                    if channels.contains(&channel) {
                        return Err(Error::usage(
                            format!("--record names channel {number} twice"),
                            "name it once",
                        ));
                    }
                    channels.push(channel);
                }
                Some(channels)
            }
        };
        let mut others = trigger.channels()?;
        let trigger = others.remove(0);
        Ok(Self { recorded, trigger, others })
    }

    /// The same, where nothing was said with the trigger's channel alone to be recorded.
    #[must_use]
    pub fn or_trigger_alone(mut self) -> Self {
        self.recorded.get_or_insert_with(|| vec![self.trigger]);
        self
    }

    /// Opens the recording so that its blocks hold these channels.
    ///
    /// # Errors
    /// As [`input::open`]; a channel that is not there.
    pub fn open(&self, input: &InputArgs) -> Result<Recording, Error> {
        let wanted = self.recorded.clone().map(|mut channels| {
            for channel in [self.trigger].iter().chain(&self.others) {
                if !channels.contains(channel) {
                    channels.push(*channel);
                }
            }
            channels
        });
        let recording = input::open(&input.file, &input.open_options(wanted)?)?;
        let count = recording.info().channels.len();
        let beyond = [self.trigger].into_iter().chain(self.others.clone()).find(|&c| c >= count);
        if let Some(channel) = beyond {
            return Err(Error::usage(
                format!("{}: there is no channel {}", recording.info().name, channel + 1),
                format!("choose channels from 1 to {count}"),
            ));
        }
        Ok(recording)
    }
}

/// The records of a recording.
pub struct Records<T: Sample> {
    reader: Reader<T>,
    /// What the numbers of the trigger's channel mean.
    pub calibration: Calibration,
    /// The trigger.
    pub plan: TriggerPlan<T>,
    /// The shape of a record.
    pub shape: stillwave::RecordShape,
    mode: Mode,
    /// What the record is in whole samples, where that was not said.
    pub whole: Option<String>,
    limit: Option<u64>,
    /// The channels in a record, by their number in the recording, from 0.
    pub channels: Vec<usize>,
    /// What the numbers of each channel in a record mean.
    pub calibrations: Vec<Calibration>,
    /// Where the trigger's channel is in the blocks.
    trigger_index: usize,
    /// The trigger's channel, by its number in the recording, from 0.
    pub trigger_channel: usize,
}

/// What an acquisition gives.
pub enum Seen<'a, 'r, T> {
    /// An accepted event; a record that it starts comes later.
    Event(&'a Event),
    /// A complete record.
    Record(&'a Record<'r, T>),
}

/// What came of an acquisition.
#[derive(Debug, Clone, Copy)]
pub struct Outcome {
    /// What was read.
    pub read: Read,
    /// What the engine counted.
    pub counters: Counters,
    /// When it recorded.
    pub mode: Mode,
}

impl<T: Sample> Records<T> {
    /// Everything that the options say, checked.
    ///
    /// # Errors
    /// Options that do not fit the recording.
    pub fn new(reader: Reader<T>, channels: &ChannelPlan, job: &JobArgs) -> Result<Self, Error> {
        let JobArgs { scale, trigger, record, .. } = job;
        let info = reader.info();
        let selected = reader.selected();
        let trigger_index = selected.iter().position(|&c| c == channels.trigger).unwrap_or(0);
        let calibration = Calibration::new(scale, info, channels.trigger)?;
        let recorded = channels.recorded.clone().unwrap_or_else(|| selected.to_vec());
        let calibrations = recorded
            .iter()
            .map(|&channel| Calibration::new(scale, info, channel))
            .collect::<Result<_, _>>()?;
        let sources = Sources::new::<T>(trigger, scale, info, selected)?;
        let plan = TriggerPlan::new(trigger, sources)?;
        let (shape, mode) = plan::record_plan(record, &calibration, recorded.len())?;
        setup::save(trigger, &plan, Some(shape))?;
        Ok(Self {
            plan,
            whole: plan::record_words(record, &calibration, shape, mode),
            shape,
            mode,
            limit: if mode == Mode::Single { Some(1) } else { record.limit },
            channels: recorded,
            calibrations,
            calibration,
            trigger_index,
            trigger_channel: channels.trigger,
            reader,
        })
    }

    /// What is known of the recording.
    pub fn info(&self) -> &input::Info {
        self.reader.info()
    }

    /// The calibration of the one channel recorded.
    ///
    /// # Errors
    /// Another number of channels.
    pub fn one_channel(&self) -> Result<Calibration, Error> {
        match self.calibrations[..] {
            [calibration] => Ok(calibration),
            _ => Err(Error::usage(
                format!(
                    "--record names {} channels, an expectation is of one",
                    self.channels.len()
                ),
                "name one",
            )),
        }
    }

    /// Where the trigger's channel is in a record, if it is recorded.
    pub fn trigger_in_record(&self) -> Option<usize> {
        self.channels.iter().position(|&channel| channel == self.trigger_channel)
    }

    /// What makes volts of each channel, for [`OwnedRecord::in_volts`](crate::export::OwnedRecord).
    pub fn scales(&self) -> Vec<Option<Scale>> {
        self.calibrations.iter().map(|calibration| calibration.scale).collect()
    }

    /// What files of these records say besides the samples, floating point in volts.
    pub fn context(&self, overwrite: bool) -> Context {
        let info = self.info();
        let is_integer = info.sample_type.kind.is_integer();
        let channel = |(&channel, calibration): (&usize, &Calibration)| ChannelContext {
            name: info.channels.get(channel).and_then(|c| c.bare_name()).map(str::to_owned),
            scale: calibration.scale.map(|scale| if is_integer { scale } else { Scale::VOLTS }),
        };
        let channels = self.channels.iter().zip(&self.calibrations).map(channel).collect();
        Context { rate: info.rate, channels, source: info.name.clone(), what: None, overwrite }
    }

    /// Gives every record to `each`.
    ///
    /// # Errors
    /// As the reader, and as `each`.
    pub fn each(
        &mut self,
        mut each: impl FnMut(&Record<'_, T>) -> Result<(), Error> + Send,
    ) -> Result<Outcome, Error> {
        self.each_seen(&mut |seen| match seen {
            Seen::Event(_) => Ok(()),
            Seen::Record(record) => each(record),
        })
    }

    /// Gives every accepted event and every record to `each`, in the order of time; after the last
    /// record asked for there is nothing more, and nothing more is counted.
    ///
    /// # Errors
    /// As the reader, and as `each`.
    pub fn each_seen(&mut self, each: &mut EachSeen<'_, T>) -> Result<Outcome, Error> {
        note::all(self.plan.warnings());
        let mut trigger = Trigger::new(self.plan.condition()?, self.plan.holdoff)?;
        let width = self.channels.len();
        let buffer = vec![T::default(); self.shape.len() * width];
        let mut recorder = Recorder::new(self.shape, self.mode, width, buffer)?;
        let mut hand = Hand::new(self.limit, each);
        let mut reach = self.plan.reach();
        let watched = self.trigger_index;
        let read = stream::blocks(&mut self.reader, &self.calibration, watched, &mut |channels| {
            let before = hand.limit.map(|_| trigger.clone());
            let block = Block::new(trigger.position(), channels);
            trigger.push_channels(channels, |event| {
                hand.waiting.push(event);
                recorder.event(&block, event, &mut |record| hand.record(&record));
            });
            recorder.finish(&block, &mut |record| hand.record(&record));
            // What counts reaches to the end of the last record.
            let counted = hand.end.map(|end| end.saturating_sub(block.start()) as usize);
            let parts: Vec<&[T]> = channels
                .iter()
                .map(|&channel| counted.and_then(|n| channel.get(..n)).unwrap_or(channel))
                .collect();
            if let (Some(_), Some(mut before)) = (counted, before) {
                before.push_channels(&parts, |_| {});
                trigger = before;
            } else {
                hand.events_before(u64::MAX);
            }
            if trigger.events() == 0 {
                reach.push(parts.get(watched).copied().unwrap_or(&[]));
            }
            let flow = counted.map_or(ControlFlow::Continue(()), ControlFlow::Break);
            std::mem::replace(&mut hand.result, Ok(())).map(|()| flow)
        })?;
        let (events, held_off) = (trigger.events(), trigger.held_off());
        let unrecorded = match hand.end {
            Some(_) => events - held_off - hand.recorded,
            None => recorder.unrecorded(),
        };
        let forced = if hand.end.is_some() { hand.forced } else { recorder.forced() };
        let counters = Counters {
            events,
            held_off,
            unrecorded,
            records: hand.recorded + hand.forced,
            forced,
            abandoned: recorder.abandoned(),
            ..Counters::default()
        };
        if events == 0 {
            note::all(self.plan.unreached(&reach));
        }
        Ok(Outcome { read, counters, mode: self.mode })
    }
}

/// What looks at events and records; behind a pointer, so that an acquisition is compiled once for
/// each type of sample and not once for each command too.
type EachSeen<'e, T> = dyn FnMut(Seen<'_, '_, T>) -> Result<(), Error> + Send + 'e;

/// Hands on what an acquisition gives.
struct Hand<'e, T> {
    each: &'e mut EachSeen<'e, T>,
    limit: Option<u64>,
    /// Events that were seen, but perhaps after the last record.
    waiting: Vec<Event>,
    /// Records with and without an event.
    recorded: u64,
    forced: u64,
    /// Where the last record that was asked for ends.
    end: Option<u64>,
    result: Result<(), Error>,
}

impl<'e, T: Sample> Hand<'e, T> {
    fn new(limit: Option<u64>, each: &'e mut EachSeen<'e, T>) -> Self {
        let (waiting, end, result) = (Vec::new(), None, Ok(()));
        Self { each, limit, waiting, recorded: 0, forced: 0, end, result }
    }

    fn events_before(&mut self, end: u64) {
        let count = self.waiting.partition_point(|event| event.at.position < end);
        for event in self.waiting.drain(..count) {
            if self.result.is_ok() {
                self.result = (self.each)(Seen::Event(&event));
            }
        }
    }

    fn record(&mut self, record: &Record<'_, T>) {
        if self.end.is_some() {
            return;
        }
        // The event of a record without a time after it is its last.
        let end = record.start + record.samples().len() as u64;
        let end = end.max(record.at.position + u64::from(record.event.is_some()));
        self.events_before(end);
        if self.result.is_ok() {
            self.result = (self.each)(Seen::Record(record));
        }
        match record.event {
            Some(_) => self.recorded += 1,
            None => self.forced += 1,
        }
        if self.limit == Some(self.recorded + self.forced) {
            self.end = Some(end);
        }
    }
}
