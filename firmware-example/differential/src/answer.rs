//! What came of a case.

use serde::{Deserialize, Serialize};
use stillwave::measure::Reason;
use stillwave::{ConfigError, Counters, Event, Instant};

/// One thing that came of a case.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Answer<'a> {
    /// A setting was refused: the parameter, the bits of its value, what it must be.
    Refused(&'a str, u64, &'a str),
    /// An event was accepted.
    Event(Event),
    /// A record was finished: its number, what it is aligned on, its first sample, and whether an
    /// event started it.
    Record(u64, Instant, u64, bool),
    /// The samples of one of its channels.
    Samples(&'a [u8]),
    /// A measurement by name: the bits of its value.
    Measured(&'a str, Result<u64, Reason>),
    /// An output of the decimator: one number twice, or two.
    Decimated([i64; 2]),
    /// What was counted, and the samples at end codes and those that are not finite.
    Counted(Counters, u64, u64),
    /// The case is over.
    End,
}

impl From<ConfigError> for Answer<'_> {
    fn from(error: ConfigError) -> Self {
        Self::Refused(error.parameter, error.value.to_bits(), error.range)
    }
}
