//! `SigMF`: all records as one recording, and what is known of them beside it.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use stillwave::{Event, EventKind, Instant, Polarity, Slope};

use super::npy::interleave;
use super::{Context, OwnedRecord, Samples, WholeFile, check};
use crate::error::Error;

/// The version of the specification that the files follow.
const SPECIFICATION: &str = "1.2.5";

/// Writes records one after the other into `NAME.sigmf-data`, then `NAME.sigmf-meta`.
///
/// Each record is a capture, whose global index is its position in the stream it was taken from;
/// each event is an annotation. Both files appear on [`finish`](Self::finish) alone.
pub struct SigmfWriter {
    data_path: PathBuf,
    meta_path: PathBuf,
    data: WholeFile,
    meta: WholeFile,
    context: Context,
    /// Type and number of the channels, as the first record has them.
    layout: Option<(Samples, usize)>,
    captures: Vec<Value>,
    annotations: Vec<Value>,
    /// How many frames are in the data file.
    frames: u64,
}

impl SigmfWriter {
    /// Begins a recording. Of `path` the ending is replaced if it is one of `SigMF`'s, and
    /// completed otherwise.
    ///
    /// # Errors
    ///
    /// Where one of the files is there already or cannot be written.
    pub fn create(path: &Path, context: &Context) -> Result<Self, Error> {
        let (data_path, meta_path) = names(path);
        Ok(Self {
            data: WholeFile::create(&data_path, context.overwrite)?,
            meta: WholeFile::create(&meta_path, context.overwrite)?,
            data_path,
            meta_path,
            context: context.clone(),
            layout: None,
            captures: Vec::new(),
            annotations: Vec::new(),
            frames: 0,
        })
    }

    /// Adds a record.
    ///
    /// # Errors
    ///
    /// Where its channels are not those of the first record, or the data cannot be written.
    pub fn add(&mut self, record: &OwnedRecord) -> Result<(), Error> {
        let name = self.data_path.display().to_string();
        check(&name, record)?;
        let Some(first) = record.channels.first() else { return Ok(()) };
        let count = record.channels.len();
        let (kind, channels) = self.layout.get_or_insert_with(|| (empty_like(first), count));
        if !kind.is_same_type(first) || *channels != count {
            return Err(Error::usage(
                format!(
                    "{name}: a record has {count} channels of {first}, the first {channels} of {kind}"
                ),
                "write them to recordings of their own",
            ));
        }
        let data = &mut self.data;
        interleave(&record.channels, record.len(), |bytes| data.put(bytes))?;
        self.captures.push(json!({
            "core:sample_start": self.frames,
            "core:global_index": record.start,
        }));
        if let Some(event) = record.event {
            self.annotations.push(self.annotation(record, event));
        }
        self.frames += record.len() as u64;
        Ok(())
    }

    /// Completes both files, and returns their names: data, then metadata.
    ///
    /// # Errors
    ///
    /// Where either cannot be written; then neither appears.
    pub fn finish(mut self) -> Result<(PathBuf, PathBuf), Error> {
        let text = serde_json::to_string_pretty(&self.metadata())
            .map_err(|error| self.meta.error(error.into()))?;
        self.meta.put(text.as_bytes())?;
        self.meta.put(b"\n")?;
        self.data.finish()?;
        if let Err(error) = self.meta.finish() {
            // Data that nothing describes are of no use; the first error is the one to tell.
            let _ = std::fs::remove_file(&self.data_path);
            return Err(error);
        }
        Ok((self.data_path, self.meta_path))
    }

    fn metadata(&self) -> Value {
        let (kind, channels) = match &self.layout {
            Some((samples, channels)) => (datatype(samples), *channels),
            None => ("ru8", 1),
        };
        let mut global = json!({
            "core:datatype": kind,
            "core:version": SPECIFICATION,
            "core:num_channels": channels,
            "core:recorder": generator(),
            "core:description": self.description(),
        });
        if let Some(rate) = self.context.rate {
            global["core:sample_rate"] = json!(rate);
        }
        json!({ "global": global, "captures": self.captures, "annotations": self.annotations })
    }

    fn description(&self) -> String {
        let mut text = match self.context.source.as_str() {
            "" => "Records around trigger events".to_owned(),
            source => format!("Records around trigger events in {source}"),
        };
        for channel in 0..self.layout.as_ref().map_or(0, |(_, channels)| *channels) {
            if let Some(scale) = self.context.scale(channel) {
                let name = self.context.name(channel);
                let (zero, volts) = (scale.zero, scale.volts_per_count);
                text.push_str(&format!("; {name}: volts = (count - {zero}) * {volts}"));
            }
        }
        text
    }

    fn annotation(&self, record: &OwnedRecord, event: Event) -> Value {
        let (label, parts) = describe(event.kind);
        // The first and the last sample of what happened, within the record.
        let last = event.at.position.saturating_sub(record.start);
        let whole = parts.saturating_add(u64::from(event.at.lead)) / stillwave::PARTS_PER_SAMPLE;
        let first = last.saturating_sub(whole);
        let seconds = |samples: f64| self.context.rate.map(|rate| samples / rate);
        let mut comment = match seconds(event.at.samples()) {
            Some(time) => format!("at sample {} ({time:.9} s)", decimal(event.at)),
            None => format!("at sample {}", decimal(event.at)),
        };
        if parts > 0 {
            let samples = parts as f64 / stillwave::PARTS_PER_SAMPLE as f64;
            let width = seconds(samples)
                .map_or_else(|| format!("{samples:.3} samples"), |time| format!("{time:.9} s"));
            comment.push_str(&format!(", width {width}"));
        }
        json!({
            "core:sample_start": self.frames + first,
            "core:sample_count": last - first + 1,
            "core:label": label,
            "core:comment": comment,
            "core:generator": generator(),
        })
    }
}

/// A label of at most 20 characters, and the duration in 1/65536 of a sample, where there is one.
fn describe(kind: EventKind) -> (&'static str, u64) {
    match kind {
        EventKind::Edge { slope: Slope::Rising } => ("rising edge", 0),
        EventKind::Edge { slope: Slope::Falling } => ("falling edge", 0),
        EventKind::Pulse { polarity: Polarity::Positive, width } => {
            ("positive pulse", width.parts())
        }
        EventKind::Pulse { polarity: Polarity::Negative, width } => {
            ("negative pulse", width.parts())
        }
        _ => ("event", 0),
    }
}

/// The instant in samples, to a thousandth, exact at every position.
fn decimal(at: Instant) -> String {
    let parts = u128::from(at.position) * u128::from(stillwave::PARTS_PER_SAMPLE);
    let thousandths = parts.saturating_sub(u128::from(at.lead)) * 1000;
    let rounded = (thousandths + u128::from(stillwave::PARTS_PER_SAMPLE / 2))
        / u128::from(stillwave::PARTS_PER_SAMPLE);
    format!("{}.{:03}", rounded / 1000, rounded % 1000)
}

fn datatype(samples: &Samples) -> &'static str {
    match samples {
        Samples::U8(_) => "ru8",
        Samples::I8(_) => "ri8",
        Samples::U16(_) => "ru16_le",
        Samples::I16(_) => "ri16_le",
        Samples::U32(_) => "ru32_le",
        Samples::I32(_) => "ri32_le",
        Samples::F32(_) => "rf32_le",
    }
}

/// No samples, of the same type.
fn empty_like(samples: &Samples) -> Samples {
    match samples {
        Samples::U8(_) => Samples::U8(Vec::new()),
        Samples::I8(_) => Samples::I8(Vec::new()),
        Samples::U16(_) => Samples::U16(Vec::new()),
        Samples::I16(_) => Samples::I16(Vec::new()),
        Samples::U32(_) => Samples::U32(Vec::new()),
        Samples::I32(_) => Samples::I32(Vec::new()),
        Samples::F32(_) => Samples::F32(Vec::new()),
    }
}

/// The names of the data and of the metadata.
fn names(path: &Path) -> (PathBuf, PathBuf) {
    let ending = path.extension().and_then(|ending| ending.to_str());
    let base = match ending {
        Some("sigmf" | "sigmf-data" | "sigmf-meta") => path.with_extension(""),
        _ => path.to_owned(),
    };
    let with = |ending: &str| {
        let mut name = base.clone().into_os_string();
        name.push(ending);
        PathBuf::from(name)
    };
    (with(".sigmf-data"), with(".sigmf-meta"))
}

fn generator() -> &'static str {
    concat!("stillwave ", env!("CARGO_PKG_VERSION"))
}
