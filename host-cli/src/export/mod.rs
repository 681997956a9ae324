//! Records, written to files that other programs read.
//!
//! ```text
//! Record ─► OwnedRecord ─► wav, csv, npy: a file a record
//!                       └► SigmfWriter:   one recording of all records, with an annotation each
//! blocks ─► StreamWriter: a whole recording, in any of these formats
//! ```
//!
//! A file appears under its name when it is whole: until then it has a temporary name in the same
//! folder. A file that is there already is kept, unless overwriting is asked for.

mod csv;
mod folder;
mod npy;
mod record;
mod sigmf;
mod store;
mod stream;
mod wav;
mod whole;

#[cfg(test)]
mod tests;

use stillwave::Scale;

pub use csv::csv;
pub(crate) use folder::make_folder;
pub use npy::{npy, npy_samples};
pub use record::{OwnedRecord, Samples};
pub use sigmf::SigmfWriter;
pub use store::Store;
pub use stream::{StreamWriter, Times};
pub use wav::wav;
pub(crate) use wav::wav_zero;
pub(crate) use whole::WholeFile;

use crate::error::Error;

/// What the writers need to know besides the samples.
#[derive(Debug, Clone, Default)]
pub struct Context {
    /// Samples a second.
    pub rate: Option<f64>,
    /// The channels recorded, in the order of [`OwnedRecord::channels`]; may be shorter.
    pub channels: Vec<ChannelContext>,
    /// Where the samples come from: the name of a file or a device.
    pub source: String,
    /// What the samples are; records around events unless stated.
    pub what: Option<String>,
    /// Whether a file that is there already is replaced.
    pub overwrite: bool,
}

/// What is known of one channel.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ChannelContext {
    /// Its name; `channel 1` and so on unless given.
    pub name: Option<String>,
    /// Its scale, where volts are known.
    pub scale: Option<Scale>,
}

impl Context {
    fn name(&self, channel: usize) -> String {
        let given = self.channels.get(channel).and_then(|c| c.name.clone());
        given.unwrap_or_else(|| format!("channel {}", channel.saturating_add(1)))
    }

    fn scale(&self, channel: usize) -> Option<Scale> {
        self.channels.get(channel).and_then(|c| c.scale)
    }
}

/// Refuses what has no channel, or channels of different types.
fn check(name: &str, record: &OwnedRecord) -> Result<(), Error> {
    let Some(first) = record.channels.first() else {
        return Err(Error::usage(
            format!("{name}: the record has no channel"),
            "choose at least one with --channels",
        ));
    };
    match record.channels.iter().find(|channel| !channel.is_same_type(first)) {
        None => Ok(()),
        Some(other) => Err(Error::usage(
            format!("{name}: one channel has {first} samples and another {other}"),
            "write them to files of their own",
        )),
    }
}
