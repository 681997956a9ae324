//! The way from a recording to its records, shared by every command that needs them.

use std::cell::RefCell;

use stillwave::{Acquisition, Counters, Event, Record, Sample, Trigger};

use crate::args::{self, InputArgs, JobArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::export::{ChannelContext, Context};
use crate::input::{self, Reader, Recording};
use crate::plan::{self, Sources, TriggerPlan};
use crate::stream::{self, Read};
use crate::{note, report, setup};

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
    mode: stillwave::Mode,
    limit: Option<u64>,
    /// The channels in a record, by their number in the recording, from 0.
    pub channels: Vec<usize>,
    /// What the numbers of each channel in a record mean.
    pub calibrations: Vec<Calibration>,
    /// Where the trigger's channel is in the blocks.
    trigger_index: usize,
    trigger_channel: usize,
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
            shape,
            mode,
            limit: record.limit,
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

    /// The lines that say what is read and what is looked for.
    pub fn heading(&self) -> String {
        report::heading(self.reader.info(), self.trigger_channel, &self.plan.describe())
    }

    /// Where the trigger's channel is in a record, if it is recorded.
    pub fn trigger_in_record(&self) -> Option<usize> {
        self.channels.iter().position(|&channel| channel == self.trigger_channel)
    }

    /// What files of these records say besides the samples.
    pub fn context(&self, overwrite: bool) -> Context {
        let info = self.info();
        let channel = |(&channel, calibration): (&usize, &Calibration)| ChannelContext {
            name: info.channels.get(channel).and_then(|c| c.name.clone()),
            scale: calibration.scale,
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
        mut each: impl FnMut(&Record<'_, T>) -> Result<(), Error>,
    ) -> Result<Outcome, Error> {
        self.each_seen(|seen| match seen {
            Seen::Event(_) => Ok(()),
            Seen::Record(record) => each(record),
        })
    }

    /// Gives every accepted event and every record to `each`, as they come.
    ///
    /// # Errors
    /// As the reader, and as `each`.
    pub fn each_seen(
        &mut self,
        mut each: impl FnMut(Seen<'_, '_, T>) -> Result<(), Error>,
    ) -> Result<Outcome, Error> {
        note::all(self.plan.warnings());
        let trigger = Trigger::new(self.plan.condition()?, self.plan.holdoff)?;
        let width = self.channels.len();
        let buffer = vec![T::default(); self.shape.len() * width];
        let mut acquisition =
            Acquisition::with_channels(trigger, self.shape, self.mode, width, buffer)?;
        let limit = self.limit.unwrap_or(u64::MAX);
        let read =
            stream::blocks(&mut self.reader, &self.calibration, self.trigger_index, |channels| {
                let result = RefCell::new((Ok(()), &mut each));
                acquisition.push_channels(
                    channels,
                    |event| {
                        let (result, each) = &mut *result.borrow_mut();
                        if result.is_ok() {
                            *result = each(Seen::Event(&event));
                        }
                    },
                    |record| {
                        let (result, each) = &mut *result.borrow_mut();
                        if result.is_ok() && record.number < limit {
                            *result = each(Seen::Record(&record));
                        }
                    },
                );
                let more = acquisition.is_running() && acquisition.counters().records < limit;
                result.into_inner().0.map(|()| more)
            })?;
        let mut counters = acquisition.counters();
        counters.records = counters.records.min(limit);
        Ok(Outcome { read, counters })
    }
}
