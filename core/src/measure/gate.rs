//! A part of a record.

use crate::Instant;

/// The samples of a record from one instant to another, to be measured on their own.
///
/// `start` is the position of the record's first sample. The result has the samples at or after
/// `from` and before `to`, as far as the record contains them.
///
/// ```
/// use stillwave::{Instant, measure::gate};
/// let record = [0_u8, 1, 2, 3, 4, 5];
/// let (from, to) = (Instant { position: 102, lead: 0x8000 }, Instant::at(105));
/// assert_eq!(gate(&record, 100, from, to), [2, 3, 4]);
/// assert_eq!(gate(&record, 100, Instant::at(0), Instant::at(1000)), record);
/// assert_eq!(gate(&record, 100, to, from), []);
/// ```
pub fn gate<T>(samples: &[T], start: u64, from: Instant, to: Instant) -> &[T] {
    let index = |at: Instant| {
        // A whole sample of lead is the sample before.
        let first = at.position.saturating_sub(u64::from(at.lead >> 16));
        let index = usize::try_from(first.saturating_sub(start)).unwrap_or(usize::MAX);
        index.min(samples.len())
    };
    samples.get(index(from)..index(to)).unwrap_or(&[])
}
