//! A record that keeps its samples.

use std::fmt;

use stillwave::{Event, Instant, Record, Sample, Scale};

/// The samples of one channel, whatever their type.
#[derive(Debug, Clone, PartialEq)]
pub enum Samples {
    /// 8-bit unsigned.
    U8(Vec<u8>),
    /// 8-bit signed.
    I8(Vec<i8>),
    /// 16-bit unsigned.
    U16(Vec<u16>),
    /// 16-bit signed.
    I16(Vec<i16>),
    /// 32-bit unsigned.
    U32(Vec<u32>),
    /// 32-bit signed.
    I32(Vec<i32>),
    /// 32-bit floating-point.
    F32(Vec<f32>),
}

/// Evaluates an expression with the vector inside a [`Samples`].
macro_rules! with_samples {
    ($samples:expr, $vector:ident => $body:expr) => {
        match $samples {
            $crate::export::Samples::U8($vector) => $body,
            $crate::export::Samples::I8($vector) => $body,
            $crate::export::Samples::U16($vector) => $body,
            $crate::export::Samples::I16($vector) => $body,
            $crate::export::Samples::U32($vector) => $body,
            $crate::export::Samples::I32($vector) => $body,
            $crate::export::Samples::F32($vector) => $body,
        }
    };
}

/// The bytes of a sample, least significant first.
pub(super) trait LittleEndian: Copy {
    fn append_to(self, bytes: &mut Vec<u8>);
}

macro_rules! sample_vectors {
    ($($sample:ty, $variant:ident;)*) => {$(
        impl From<Vec<$sample>> for Samples {
            fn from(samples: Vec<$sample>) -> Self {
                Self::$variant(samples)
            }
        }

        impl LittleEndian for $sample {
            fn append_to(self, bytes: &mut Vec<u8>) {
                bytes.extend_from_slice(&self.to_le_bytes());
            }
        }
    )*};
}

sample_vectors! {
    u8, U8;
    i8, I8;
    u16, U16;
    i16, I16;
    u32, U32;
    i32, I32;
    f32, F32;
}

impl Samples {
    /// How many samples there are.
    pub fn len(&self) -> usize {
        with_samples!(self, samples => samples.len())
    }

    /// Floating point in volts, as which files of it are read; whole numbers as they are.
    #[must_use]
    pub fn in_volts(self, scale: Option<Scale>) -> Self {
        match (self, scale) {
            (Self::F32(samples), Some(scale)) if scale != Scale::VOLTS => {
                Self::F32(samples.iter().map(|&x| scale.volts(x.into()) as f32).collect())
            }
            (samples, _) => samples,
        }
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The size of one sample.
    pub fn sample_bytes(&self) -> usize {
        match self {
            Self::U8(_) | Self::I8(_) => 1,
            Self::U16(_) | Self::I16(_) => 2,
            Self::U32(_) | Self::I32(_) | Self::F32(_) => 4,
        }
    }

    /// Whether the samples are the values themselves and not the codes of a converter.
    pub fn is_float(&self) -> bool {
        matches!(self, Self::F32(_))
    }

    /// One sample; every type fits.
    pub fn get(&self, index: usize) -> Option<f64> {
        with_samples!(self, samples => samples.get(index).copied().map(Into::into))
    }

    /// All samples, as numbers.
    pub fn values(&self) -> impl ExactSizeIterator<Item = f64> + '_ {
        // Within its length, so that nothing is ever made up.
        (0..self.len()).map(|index| self.get(index).unwrap_or(f64::NAN))
    }

    /// Adds the bytes of one sample, if there is one.
    pub(super) fn append_bytes(&self, index: usize, bytes: &mut Vec<u8>) {
        with_samples!(self, samples => {
            if let Some(sample) = samples.get(index) {
                sample.append_to(bytes);
            }
        });
    }

    /// No samples, of the same type.
    pub(super) fn emptied(&self) -> Self {
        match self {
            Self::U8(_) => Self::U8(Vec::new()),
            Self::I8(_) => Self::I8(Vec::new()),
            Self::U16(_) => Self::U16(Vec::new()),
            Self::I16(_) => Self::I16(Vec::new()),
            Self::U32(_) => Self::U32(Vec::new()),
            Self::I32(_) => Self::I32(Vec::new()),
            Self::F32(_) => Self::F32(Vec::new()),
        }
    }

    /// Whether `other` has samples of the same type.
    pub(super) fn is_same_type(&self, other: &Self) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// The name of the sample type: `u16`.
impl fmt::Display for Samples {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::U8(_) => "u8",
            Self::I8(_) => "i8",
            Self::U16(_) => "u16",
            Self::I16(_) => "i16",
            Self::U32(_) => "u32",
            Self::I32(_) => "i32",
            Self::F32(_) => "f32",
        })
    }
}

/// A record of the engine with its samples copied, so that it may outlive the acquisition.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnedRecord {
    /// The number of this record, from 0.
    pub number: u64,
    /// The position of its first sample.
    pub start: u64,
    /// The instant it is aligned on.
    pub at: Instant,
    /// What started it; `None` where it was forced.
    pub event: Option<Event>,
    /// The samples, one entry a channel, all of the same length and type.
    pub channels: Vec<Samples>,
}

impl OwnedRecord {
    /// How many samples each channel has.
    pub fn len(&self) -> usize {
        self.channels.iter().map(Samples::len).min().unwrap_or(0)
    }

    /// Whether there are no samples.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The trigger instant, in samples after the first sample of the record: where
    /// [`Overlay::add`](crate::view::Overlay::add) aligns it.
    pub fn trigger_offset(&self) -> f64 {
        // Small differences: exact.
        let whole = i128::from(self.at.position) - i128::from(self.start);
        whole as f64 - f64::from(self.at.lead) / stillwave::PARTS_PER_SAMPLE as f64
    }
}

impl OwnedRecord {
    /// The same with each channel as [`Samples::in_volts`] has it.
    #[must_use]
    pub fn in_volts(mut self, scales: &[Option<Scale>]) -> Self {
        let convert = |(samples, scale): (Samples, &Option<Scale>)| samples.in_volts(*scale);
        self.channels = self.channels.into_iter().zip(scales).map(convert).collect();
        self
    }
}

impl<T: Sample> From<&Record<'_, T>> for OwnedRecord
where
    Samples: From<Vec<T>>,
{
    fn from(record: &Record<'_, T>) -> Self {
        Self {
            number: record.number,
            start: record.start,
            at: record.at,
            event: record.event,
            channels: (0..record.channels())
                .map(|channel| record.channel(channel).to_vec().into())
                .collect(),
        }
    }
}
