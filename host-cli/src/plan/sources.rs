//! The channels that a trigger looks at: where they are in the blocks, and what their numbers mean.

use stillwave::{Coupling, Input, Level, Sample};

use super::coupling::coupling;
use crate::args::{ScaleArgs, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Info;

/// The channels of a trigger, that to trigger on first.
#[derive(Debug, Clone)]
pub struct Sources {
    own: Source,
    others: Vec<Source>,
    coupling: Coupling,
}

/// A channel of a trigger.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source {
    /// The channel of the recording, from 0.
    pub(super) channel: usize,
    /// The channel of the blocks, from 0.
    block: u8,
    /// The channel as the condition counts them, from 0.
    pub(super) index: u8,
    /// What its numbers mean, as the condition sees them.
    pub(super) calibration: Calibration,
}

impl Sources {
    /// The channels that `trigger` names, of a recording of which `selected` are read.
    ///
    /// # Errors
    /// A channel that is not read; options out of range.
    pub fn new<T: Sample>(
        trigger: &TriggerArgs,
        scale: &ScaleArgs,
        info: &Info,
        selected: &[usize],
    ) -> Result<Self, Error> {
        let coupling = coupling(trigger, info.rate)?;
        let levels = [
            ("--level", trigger.level),
            ("--low", trigger.low),
            ("--high", trigger.high),
            ("--hysteresis", Some(trigger.hysteresis)),
        ];
        let source = |(n, channel): (usize, usize)| {
            let block = selected.iter().position(|&other| other == channel);
            let block = block.and_then(|block| u8::try_from(block).ok()).ok_or_else(|| {
                Error::usage(
                    format!("channel {} of the trigger is not read", channel + 1),
                    "choose fewer channels",
                )
            })?;
            // Behind a filter, channels come in the order of this list.
            let index = if coupling == Coupling::Dc { block } else { n as u8 };
            let calibration = Calibration::new(scale, info, channel)?;
            // Others may have levels of their own.
            if n == 0 {
                calibration.check_volts(info, channel, &levels)?;
            }
            Ok(Source { channel, block, index, calibration })
        };
        let mut all: Vec<Source> = trigger
            .channels()?
            .into_iter()
            .enumerate()
            .map(source)
            .collect::<Result<_, Error>>()?;
        let mut own = all.remove(0);
        let middle = T::wide_to_f64(T::MIDDLE.widen());
        own.calibration = own.calibration.coupled(coupling, middle);
        Ok(Self { own, others: all, coupling })
    }

    /// The same for a board, whose blocks hold every channel of the recording: the condition sees
    /// those of this list, in its order.
    pub(super) fn for_board(mut self) -> Self {
        for (n, source) in [&mut self.own].into_iter().chain(&mut self.others).enumerate() {
            source.block = source.channel as u8;
            source.index = n as u8;
        }
        self
    }

    fn all(&self) -> impl Iterator<Item = &Source> {
        [&self.own].into_iter().chain(&self.others)
    }

    /// What a condition sees as its channels, where it sees those of this list.
    pub(super) fn inputs(&self) -> Vec<Input> {
        let mut inputs: Vec<_> = self.all().map(|source| Input::Channel(source.block)).collect();
        if self.coupling != Coupling::Dc {
            inputs[0] = Input::Coupled { channel: self.own.block, coupling: self.coupling };
        }
        inputs
    }

    /// The channel of the recording, from 0.
    pub(super) fn of(&self, channel: usize) -> Option<&Source> {
        self.all().find(|source| source.channel == channel)
    }

    /// The channel as the condition counts them, from 0.
    pub(super) fn at(&self, index: u8) -> Option<&Source> {
        self.all().find(|source| source.index == index)
    }

    /// The number, from 1, of a channel as the condition counts them, and what its numbers mean.
    pub(super) fn channel(&self, index: u8) -> (usize, &Calibration) {
        let source = self.at(index);
        let calibration = source.map_or(&self.own.calibration, |source| &source.calibration);
        (source.map_or(0, |source| source.channel) + 1, calibration)
    }

    /// A channel and its level.
    pub(super) fn level_in_words<T: Sample>(&self, level: &Level<T>) -> String {
        let (channel, calibration) = self.channel(level.channel);
        let shown = calibration.show_level(T::wide_to_f64(level.level));
        format!("channel {channel} (level {shown})")
    }

    /// The channel to trigger on, as the condition counts them.
    pub fn index(&self) -> u8 {
        self.own.index
    }

    /// The channel to trigger on, as the blocks have it.
    pub(super) fn block(&self) -> u8 {
        self.own.block
    }

    /// What the numbers of the channel to trigger on mean, as the condition sees them.
    pub(super) fn calibration(&self) -> &Calibration {
        &self.own.calibration
    }

    /// The filter before the channel to trigger on.
    pub(super) fn coupling(&self) -> Coupling {
        self.coupling
    }
}
