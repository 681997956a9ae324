//! The smallest and the largest of many records: one record for many.

use super::Extent;
use crate::Sample;

/// The smallest and the largest of records in each column, aligned on the trigger.
///
/// Columns are those of [`Average`](super::Average): column j is j + 1 − pre samples after the
/// trigger's instant, and has the sample of each record that is nearest to that time. `B` is the
/// memory for the columns.
///
/// ```
/// use stillwave::decimate::{Extent, RecordEnvelope};
/// let mut envelope = RecordEnvelope::<i16, _>::new([Extent::EMPTY; 3]);
/// envelope.push(&[0, 10, 20, 30], 0x4000);
/// envelope.push(&[3, 13, 23, 33], 0xC000);
/// assert_eq!(envelope.columns()[0], Extent { minimum: 3, maximum: 10 });
/// ```
#[derive(Clone, Debug)]
pub struct RecordEnvelope<T, B> {
    columns: B,
    len: usize,
    count: u64,
    sample: core::marker::PhantomData<T>,
}

impl<T: Sample, B: AsRef<[Extent<T>]> + AsMut<[Extent<T>]>> RecordEnvelope<T, B> {
    /// Makes an envelope without records.
    pub fn new(columns: B) -> Self {
        Self { columns, len: 0, count: 0, sample: core::marker::PhantomData }
    }

    /// Adds a record: its samples, and the `lead` of its instant, 0 to 65536
    /// ([`Record::at`](crate::Record::at)). All records must have the same pre-trigger.
    pub fn push(&mut self, samples: &[T], lead: u32) {
        let nearest = samples.get(usize::from(lead <= 1 << 15)..).unwrap_or(&[]);
        let columns = self.columns.as_mut();
        let len = samples.len().saturating_sub(1).min(columns.len());
        if self.count == 0 {
            columns.fill(Extent::EMPTY);
            self.len = len;
        }
        self.len = self.len.min(len);
        for (column, &x) in columns.iter_mut().zip(nearest) {
            *column = column.with(x);
        }
        self.count += 1;
    }

    /// The number of records.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The columns; none before the first record, and only as many as the shortest record has.
    pub fn columns(&self) -> &[Extent<T>] {
        self.columns.as_ref().get(..self.len).unwrap_or(&[])
    }

    /// Forgets all records.
    pub fn reset(&mut self) {
        (self.len, self.count) = (0, 0);
    }
}
