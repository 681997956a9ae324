//! The configuration of an acquisition.

use crate::ConfigError;

/// The number of samples that a record has before and after its event. For an event at position p,
/// they are [p − pre, p) and [p, p + post).
///
/// ```
/// use stillwave::RecordShape;
/// assert_eq!(RecordShape::new(100, 400)?.len(), 500);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct RecordShape {
    /// The number of samples before the event.
    pub pre: usize,
    /// The number of samples from the event on.
    pub post: usize,
}

impl RecordShape {
    /// Makes a shape with `pre` samples before the event and `post` from it on.
    ///
    /// # Errors
    /// A record without samples, or with more than can be counted.
    pub fn new(pre: usize, post: usize) -> Result<Self, ConfigError> {
        Self { pre, post }.validated()
    }

    /// Returns the shape unchanged if its values are in range.
    ///
    /// # Errors
    /// The errors of [`RecordShape::new`].
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self.pre.checked_add(self.post) {
            Some(1..) => Ok(self),
            Some(0) => Err(ConfigError::new("record length", 0.0, "1 or more")),
            None => {
                let value = self.pre as f64 + self.post as f64;
                Err(ConfigError::new("record length", value, "at most the address space"))
            }
        }
    }

    /// The number of samples in a record.
    #[inline]
    pub fn len(self) -> usize {
        self.pre.saturating_add(self.post)
    }

    /// Whether the record has no samples; always `false` for a validated shape.
    pub fn is_empty(self) -> bool {
        self.len() == 0
    }
}

/// When an acquisition starts a record.
///
/// A record is forced when there has been no event for 3 samples:
///
/// ```
/// use stillwave::{Acquisition, Mode, Never, RecordShape, Trigger, Holdoff};
/// let trigger = Trigger::new(Never::<u8>::new(), Holdoff::None)?;
/// let mode = Mode::Auto { after: 3 };
/// let mut acquisition = Acquisition::new(trigger, RecordShape::new(1, 1)?, mode, [0; 2])?;
/// acquisition.push(&[1, 2, 3, 4, 5], |record| {
///     assert_eq!((record.event, record.at.position, record.samples()), (None, 3, &[3, 4][..]));
/// });
/// assert_eq!(acquisition.counters().forced, 1);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Mode {
    /// One record for each event.
    #[default]
    Normal,
    /// As `Normal`. If no event starts a record for this many samples since the last record ended
    /// (or since the start), one is forced, so that the picture goes on.
    Auto {
        /// The auto time: 1 sample or more.
        after: u64,
    },
    /// One record, then it stops.
    Single,
}

impl Mode {
    /// Returns the mode unchanged if its value is in range.
    ///
    /// # Errors
    /// The auto time is 0.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self {
            Self::Auto { after: 0 } => Err(ConfigError::new("auto time", 0.0, "1 or more")),
            _ => Ok(self),
        }
    }
}
