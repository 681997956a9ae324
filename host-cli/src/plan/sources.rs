//! The channels that a trigger looks at: where they are in the blocks, and what their numbers mean.

use crate::args::{ScaleArgs, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Info;

/// The channels of a trigger, that to trigger on first.
#[derive(Debug, Clone)]
pub struct Sources(Vec<Source>);

/// A channel of a trigger.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source {
    /// The channel of the recording, from 0.
    pub(super) channel: usize,
    /// The channel of the blocks, from 0.
    pub(super) index: u8,
    pub(super) calibration: Calibration,
}

impl Sources {
    /// The channels that `trigger` names, of a recording of which `selected` are read.
    ///
    /// # Errors
    /// A channel that is not read; options out of range.
    pub fn new(
        trigger: &TriggerArgs,
        scale: &ScaleArgs,
        info: &Info,
        selected: &[usize],
    ) -> Result<Self, Error> {
        let source = |channel| {
            let index = selected.iter().position(|&other| other == channel);
            let index = index.and_then(|index| u8::try_from(index).ok()).ok_or_else(|| {
                Error::usage(
                    format!("channel {} of the trigger is not read", channel + 1),
                    "choose fewer channels",
                )
            })?;
            Ok(Source { channel, index, calibration: Calibration::new(scale, info, channel)? })
        };
        Ok(Self(trigger.channels()?.into_iter().map(source).collect::<Result<_, Error>>()?))
    }

    /// The channel of the recording, from 0.
    pub(super) fn of(&self, channel: usize) -> Option<&Source> {
        self.0.iter().find(|source| source.channel == channel)
    }

    /// The channel of the blocks, from 0.
    pub(super) fn at(&self, index: u8) -> Option<&Source> {
        self.0.iter().find(|source| source.index == index)
    }

    /// The channel to trigger on: its index in the blocks.
    pub fn index(&self) -> u8 {
        self.0.first().map_or(0, |source| source.index)
    }
}
