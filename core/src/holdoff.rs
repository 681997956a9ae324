//! Holdoff: after an accepted event, others wait.

use crate::ConfigError;

/// Which events are accepted. Conditions keep running; only acceptance waits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Holdoff {
    /// Every event.
    #[default]
    None,
    /// An event at least this many samples after the last accepted one.
    Samples(u64),
    /// Every n-th event: the n-th, the 2n-th and so on; n from 1.
    Every(u32),
}

impl Holdoff {
    /// The holdoff itself where its value is in range.
    ///
    /// # Errors
    /// Every 0th event.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self {
            Self::Every(0) => Err(ConfigError::new("every", 0.0, "1 or more")),
            _ => Ok(self),
        }
    }
}

/// What a holdoff remembers.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct HoldoffState {
    /// The position from which on an event is accepted.
    ready: u64,
    /// Events since the last accepted one.
    count: u32,
}

impl HoldoffState {
    /// How many samples of a block at `start` are surely too early, for a first look at less than
    /// whole positions.
    #[inline]
    pub(crate) fn too_early(&self, start: u64) -> usize {
        usize::try_from(self.ready.saturating_sub(start)).unwrap_or(usize::MAX)
    }

    /// Whether the event at `position` is accepted.
    #[inline]
    pub(crate) fn accepts(&mut self, holdoff: Holdoff, position: u64) -> bool {
        match holdoff {
            Holdoff::None => true,
            Holdoff::Samples(samples) => {
                let accepted = position >= self.ready;
                if accepted {
                    self.ready = position.saturating_add(samples);
                }
                accepted
            }
            Holdoff::Every(n) => {
                self.count += 1;
                let accepted = self.count >= n;
                if accepted {
                    self.count = 0;
                }
                accepted
            }
        }
    }
}
