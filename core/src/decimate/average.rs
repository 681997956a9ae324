//! Averaging of records: one record for many.

use core::marker::PhantomData;

use crate::{ConfigError, Sample};

/// The weight of each record in an average.
///
/// ```
/// use stillwave::decimate::{Average, Weight};
/// let mut fading = Average::<u8, _>::new(Weight::Exponential { shift: 1 }, [0; 1])?;
/// for level in [0, 100, 100] {
///     fading.push(&[level; 2], 0);
/// }
/// // Half of the way with every record.
/// assert_eq!(fading.value(0), Some(75.0));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Weight {
    /// All records have equal weight.
    Plain,
    /// Each record counts 1/2^`shift` of the average, and the older ones fade. `shift` is 1 to 16.
    Exponential {
        /// The shift; at 3, half is forgotten in five records, because old ones count 7/8 each
        /// time.
        shift: u32,
    },
}

/// The mean of records, aligned on the trigger to the fraction of a sample. White noise becomes
/// 1/√n, and the waveform is unchanged (closed form).
///
/// Column j is at the time j + 1 − pre samples after the trigger's instant, whatever the instant's
/// fraction. The value that a record has there is taken from a straight line between two samples,
/// so there is one column less than a record has samples. Integer samples are averaged as integers,
/// in 1/65536 of a count: a plain mean is exact. An `f32` that is not finite leaves its column as
/// it was.
///
/// `B` is the memory for the columns: an array, a slice or a `Vec` of `T::Fine` (`i64`; `f64` for
/// `f32`). Its length must be at least the number of samples in a record, less one.
///
/// ```
/// use stillwave::decimate::{Average, Weight};
/// let mut average = Average::<u16, _>::new(Weight::Plain, [0; 3])?;
/// // Records of four samples, triggered half a sample and a quarter before the second.
/// average.push(&[0, 10, 20, 30], 0x8000);
/// average.push(&[0, 10, 20, 31], 0x4000);
/// assert_eq!(average.value(0), Some(6.25));
/// assert_eq!((average.count(), average.sample(1), average.sample(2)), (2, Some(16), Some(27)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Average<T, B> {
    weight: Weight,
    columns: B,
    /// The number of columns in use.
    len: usize,
    count: u64,
    sample: PhantomData<T>,
}

impl<T: Sample, B: AsRef<[T::Fine]> + AsMut<[T::Fine]>> Average<T, B> {
    /// Makes an average without records.
    ///
    /// # Errors
    /// The shift is out of range.
    pub fn new(weight: Weight, columns: B) -> Result<Self, ConfigError> {
        if let Weight::Exponential { shift } = weight
            && !(1..=16).contains(&shift)
        {
            return Err(ConfigError::new("shift", f64::from(shift), "1 to 16"));
        }
        Ok(Self { weight, columns, len: 0, count: 0, sample: PhantomData })
    }

    /// Adds a record: its samples, and the `lead` of its instant, 0 to 65536
    /// ([`Record::at`](crate::Record::at)).
    ///
    /// All records must have the same pre-trigger. Only as many columns are kept as the shortest
    /// record has.
    ///
    /// Returns whether the record was taken. It is not taken if sums might overflow, after 2^31
    /// records of 16-bit samples or 2^15 of 32-bit ones.
    pub fn push(&mut self, samples: &[T], lead: u32) -> bool {
        if self.weight == Weight::Plain && self.count >= T::MOST_RECORDS {
            return false;
        }
        let shift = match self.weight {
            Weight::Plain => None,
            Weight::Exponential { shift } => Some(shift),
        };
        let lead = lead.min(1 << 16);
        let later = samples.get(1..).unwrap_or(&[]);
        let columns = self.columns.as_mut();
        let len = later.len().min(columns.len());
        for ((column, &this), &before) in columns.iter_mut().zip(later).zip(samples) {
            T::average_into(column, (before, this, lead), self.count, shift);
        }
        self.len = if self.count == 0 { len } else { self.len.min(len) };
        self.count += 1;
        true
    }

    /// The number of records averaged.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The number of columns; 0 before the first record.
    pub fn len(&self) -> usize {
        self.len
    }

    /// Whether there are no columns.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// The mean in a column, in counts with their fraction.
    pub fn value(&self, column: usize) -> Option<f64> {
        let fine = self.columns.as_ref().get(..self.len)?.get(column)?;
        Some(T::averaged(*fine, self.divisor()))
    }

    /// The mean in a column as a sample, rounded to nearest, halves upwards.
    pub fn sample(&self, column: usize) -> Option<T> {
        let fine = self.columns.as_ref().get(..self.len)?.get(column)?;
        Some(T::averaged_sample(*fine, self.divisor()))
    }

    /// Forgets all records.
    pub fn reset(&mut self) {
        (self.len, self.count) = (0, 0);
    }

    fn divisor(&self) -> u64 {
        match self.weight {
            Weight::Plain => self.count,
            Weight::Exponential { .. } => 1,
        }
    }
}
