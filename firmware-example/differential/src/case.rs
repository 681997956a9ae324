//! A case: settings, a signal, and how it is handed over.
//!
//! In a file each is a [`Preface`] of 12 bytes, the [`Case`] in postcard's form, and the samples of
//! one channel after the other, little-endian.

use bytemuck::Pod;
use heapless::{String, Vec};
use serde::{Deserialize, Serialize};
use stillwave::{Composition, Coupling, Holdoff, Mode, RecordShape, Sample};

/// The most bytes of a case in postcard's form.
pub const HEAD: usize = 1024;
/// The most 32-bit words that the samples of a case take.
pub const SAMPLE_ROOM: usize = 24 * 1024;
/// The most 32-bit words that its records take.
pub const RECORD_ROOM: usize = 4 * 1024;
/// The most channels.
pub const CHANNELS: usize = 5;

/// A sample that can be written and read.
pub trait Wire: Sample<Wide: Serialize + for<'de> Deserialize<'de>> + Pod {
    /// The kind of sample.
    const KIND: Kind;
}

/// The types of samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u32)]
#[allow(missing_docs)]
pub enum Kind {
    U8,
    I16,
    U16,
    I32,
    F32,
}

macro_rules! wire {
    ($($sample:ty: $kind:ident),*) => {$(
        impl Wire for $sample {
            const KIND: Kind = Kind::$kind;
        }
    )*};
}

wire!(u8: U8, i16: I16, u16: U16, i32: I32, f32: F32);

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::U8, Self::I16, Self::U16, Self::I32, Self::F32];

    /// The kind of that number.
    pub fn of(number: u32) -> Option<Self> {
        Self::ALL.into_iter().find(|&kind| kind as u32 == number)
    }
}

/// What stands before a case in a file: the number of its [`Kind`] of samples, the bytes of the
/// case, the bytes of all samples.
pub type Preface = [u32; 3];

/// Settings, and how the signal is handed over.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(bound(serialize = "T: Wire", deserialize = "T: Wire"))]
pub struct Case<T: Sample> {
    /// What to look for.
    pub composition: Composition<T>,
    /// What the condition sees of channel 0.
    pub coupling: Coupling,
    /// Which events are accepted.
    pub holdoff: Holdoff,
    /// The records.
    pub shape: RecordShape,
    /// When they start.
    pub mode: Mode,
    /// How many channels there are: 1 to [`CHANNELS`].
    pub channels: u8,
    /// The position of the first sample.
    pub start: u64,
    /// The lengths of the blocks, in turn; not all 0.
    pub blocks: Vec<u16, 16>,
    /// What happens before which sample, in order.
    pub acts: Vec<(u32, Act), 8>,
    /// How many records are measured, and whether by everything there is.
    pub measured: (u32, bool),
    /// What decimates channel 0: see [`decimation`](crate::decimation).
    pub decimate: String<24>,
}

/// What happens between two samples.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub enum Act {
    /// So many samples are lost.
    Gap(u64),
    /// Records are started.
    Run,
    /// No more records are started.
    Stop,
    /// Others are held off.
    Holdoff(Holdoff),
    /// Records are of another shape.
    Shape(RecordShape),
    /// Records start otherwise.
    Mode(Mode),
}
