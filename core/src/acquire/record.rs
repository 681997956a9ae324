//! A finished record.

use crate::{Event, Instant, PARTS_PER_SAMPLE};

/// The samples around an event, borrowed until the acquisition continues.
///
/// Positions and lengths are in samples; for `at`, see [`Instant`](crate::Instant).
///
/// ```
/// use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Slope, Trigger};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 10)?)?;
/// let trigger = Trigger::new(edge, Holdoff::None)?;
/// let mut acquisition = Acquisition::new(trigger, RecordShape::new(2, 2)?, Mode::Normal, [0; 4])?;
/// acquisition.push(&[0, 0, 50, 150, 200], |record| {
///     assert_eq!((record.start, record.trigger_index()), (1, 2));
///     // The level lies half way from sample 2 to sample 3.
///     assert_eq!((record.offset(2), record.first_time()), (0.5, -3 * 32768));
/// });
/// assert_eq!(acquisition.counters().records, 1);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Record<'a, T> {
    /// The number of this record, from 0.
    pub number: u64,
    /// The event that started it; `None` if it was forced without an event.
    pub event: Option<Event>,
    /// The instant that the record is aligned on: that of the event, or where it was forced.
    pub at: Instant,
    /// The position of the first sample.
    pub start: u64,
    /// The number of samples in each channel.
    pub(super) len: usize,
    /// The recorded samples: one section per channel, each beginning with the record.
    pub(super) buffer: &'a [T],
    pub(super) channels: usize,
}

impl<'a, T> Record<'a, T> {
    /// The samples of channel 0.
    #[inline]
    pub fn samples(&self) -> &'a [T] {
        self.channel(0)
    }

    /// The samples of one recorded channel, counted from 0; empty if there is no such channel.
    pub fn channel(&self, channel: usize) -> &'a [T] {
        let depth = self.buffer.len().checked_div(self.channels).unwrap_or(0);
        let stretch = self.buffer.get(channel.saturating_mul(depth)..);
        match stretch.and_then(|s| s.get(..self.len)) {
            Some(samples) if channel < self.channels => samples,
            _ => &[],
        }
    }

    /// The number of recorded channels.
    pub fn channels(&self) -> usize {
        self.channels
    }

    /// The index of the first sample at or past the event.
    pub fn trigger_index(&self) -> usize {
        self.at.position.saturating_sub(self.start) as usize
    }

    /// The time of the first sample from the event, in 1/65536 of a sample.
    ///
    /// It is 0 or less, except for an event between the sample before the first and the first. A
    /// [`Mask`](crate::expect::Mask) begins here.
    pub fn first_time(&self) -> i64 {
        let before = self.at.position.saturating_sub(self.start);
        let parts = i64::try_from(before.saturating_mul(PARTS_PER_SAMPLE)).unwrap_or(i64::MAX);
        i64::from(self.at.lead) - parts
    }

    /// The time of sample `index` before (negative) or after the event, in samples. It aligns
    /// records to a fraction of a sample.
    pub fn offset(&self, index: usize) -> f64 {
        // Small differences: exact.
        index as f64 - (self.trigger_index() as f64 - f64::from(self.at.lead) / 65536.0)
    }
}
