//! The channels that a trigger looks at: where they are in the blocks, and what their numbers mean.

use stillwave::{Coupling, Sample};

use super::coupling::coupling;
use crate::args::{ScaleArgs, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Info;

/// The channels of a trigger, that to trigger on first.
#[derive(Debug, Clone)]
pub struct Sources {
    all: Vec<Source>,
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
        let mut all = Vec::new();
        for channel in trigger.channels()? {
            let block = selected.iter().position(|&other| other == channel);
            let block = block.and_then(|block| u8::try_from(block).ok()).ok_or_else(|| {
                Error::usage(
                    format!("channel {} of the trigger is not read", channel + 1),
                    "choose fewer channels",
                )
            })?;
            // Behind a filter, channels come in the order of this list.
            let index = if coupling == Coupling::Dc { block } else { all.len() as u8 };
            let calibration = Calibration::new(scale, info, channel)?;
            all.push(Source { channel, block, index, calibration });
        }
        if let Some(own) = all.first_mut() {
            let middle = T::wide_to_f64(T::MIDDLE.widen());
            own.calibration = own.calibration.coupled(coupling, middle);
        }
        Ok(Self { all, coupling })
    }

    /// The channel of the recording, from 0.
    pub(super) fn of(&self, channel: usize) -> Option<&Source> {
        self.all.iter().find(|source| source.channel == channel)
    }

    /// The channel as the condition counts them, from 0.
    pub(super) fn at(&self, index: u8) -> Option<&Source> {
        self.all.iter().find(|source| source.index == index)
    }

    /// The channel to trigger on, as the condition counts them.
    pub fn index(&self) -> u8 {
        self.all.first().map_or(0, |source| source.index)
    }

    /// What the numbers of the channel to trigger on mean, as the condition sees them.
    pub(super) fn calibration<'a>(&'a self, otherwise: &'a Calibration) -> &'a Calibration {
        self.all.first().map_or(otherwise, |source| &source.calibration)
    }

    /// The filter before the channel to trigger on.
    pub(super) fn coupling(&self) -> Coupling {
        self.coupling
    }

    /// The channels of the blocks, in the order of this list.
    pub(super) fn blocks(&self) -> impl Iterator<Item = u8> {
        self.all.iter().map(|source| source.block)
    }
}
