//! The metadata, in the order in which people read them.

use std::borrow::Cow;

use serde::ser::{Error as _, SerializeSeq as _};
use serde::{Serialize, Serializer};
use stillwave::{Event, Instant, PARTS_PER_SAMPLE, Span};

use super::super::{Context, Samples};
use super::kept::{Taken, Whole};
use crate::plan::event_text;

/// The version of the specification that the files follow.
const SPECIFICATION: &str = "1.2.5";

const GENERATOR: &str = concat!("stillwave ", env!("CARGO_PKG_VERSION"));

#[derive(Serialize)]
pub(super) struct Metadata<'a> {
    global: Global,
    captures: Captures<'a>,
    annotations: Annotations<'a>,
}

/// What holds for all samples.
#[derive(Serialize)]
pub(super) struct Global {
    #[serde(rename = "core:datatype")]
    datatype: &'static str,
    #[serde(rename = "core:sample_rate", skip_serializing_if = "Option::is_none")]
    sample_rate: Option<f64>,
    #[serde(rename = "core:num_channels")]
    num_channels: usize,
    /// The file of the data, where that is not called as the metadata are.
    #[serde(rename = "core:dataset", skip_serializing_if = "Option::is_none")]
    dataset: Option<String>,
    #[serde(rename = "core:version")]
    version: &'static str,
    #[serde(rename = "core:description")]
    description: String,
    #[serde(rename = "core:recorder")]
    recorder: &'static str,
}

/// The records.
struct Captures<'a>(&'a Whole);

/// The events.
struct Annotations<'a> {
    taken: &'a Whole,
    rate: Option<f64>,
}

#[derive(Serialize)]
struct Capture {
    #[serde(rename = "core:sample_start")]
    sample_start: u64,
    #[serde(rename = "core:global_index")]
    global_index: u64,
}

#[derive(Serialize)]
struct Annotation {
    #[serde(rename = "core:sample_start")]
    sample_start: u64,
    #[serde(rename = "core:sample_count")]
    sample_count: u64,
    #[serde(rename = "core:label")]
    label: Cow<'static, str>,
    #[serde(rename = "core:comment")]
    comment: String,
    #[serde(rename = "core:generator")]
    generator: &'static str,
}

impl<'a> Metadata<'a> {
    pub(super) fn new(global: Global, taken: &'a Whole, rate: Option<f64>) -> Self {
        Self { global, captures: Captures(taken), annotations: Annotations { taken, rate } }
    }
}

impl Global {
    pub(super) fn new(
        layout: Option<&(Samples, usize)>,
        context: &Context,
        dataset: Option<String>,
    ) -> Self {
        let (datatype, num_channels) =
            layout.map_or(("ru8", 1), |(samples, channels)| (datatype(samples), *channels));
        Self {
            datatype,
            sample_rate: context.rate,
            num_channels,
            dataset,
            version: SPECIFICATION,
            description: description(context, num_channels),
            recorder: GENERATOR,
        }
    }
}

/// Where the samples are from, and how they become volts.
fn description(context: &Context, channels: usize) -> String {
    let from = match context.source.as_str() {
        "" => String::new(),
        source => format!(" in {source}"),
    };
    let scales = (0..channels).filter_map(|channel| {
        let scale = context.scale(channel)?;
        let (name, zero, volts) = (context.name(channel), scale.zero, scale.volts_per_count);
        Some(format!("; {name}: volts = (count - {zero}) * {volts}"))
    });
    let what = context.what.as_deref().unwrap_or("Records around trigger events");
    format!("{what}{from}{}", scales.collect::<String>())
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

impl Serialize for Captures<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        list(self.0, serializer, |taken| {
            Some(Capture { sample_start: taken.first, global_index: taken.start })
        })
    }
}

impl Serialize for Annotations<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        list(self.taken, serializer, |taken| Some(Annotation::new(taken, &taken.event?, self.rate)))
    }
}

/// Writes what there is to say of each record, one after the other.
fn list<S: Serializer, E: Serialize>(
    whole: &Whole,
    serializer: S,
    entry: impl Fn(&Taken) -> Option<E>,
) -> Result<S::Ok, S::Error> {
    let mut list = serializer.serialize_seq(None)?;
    for taken in whole.read().map_err(S::Error::custom)? {
        if let Some(entry) = entry(&taken.map_err(S::Error::custom)?) {
            list.serialize_element(&entry)?;
        }
    }
    list.end()
}

impl Annotation {
    fn new(taken: &Taken, event: &Event, rate: Option<f64>) -> Self {
        let (label, duration) = (event_text(event.kind).label, event.kind.time());
        let parts = duration.map_or(0, Span::parts).saturating_add(u64::from(event.at.lead));
        let last = event.at.position.saturating_sub(taken.start);
        let last = last.min(taken.frames.saturating_sub(1));
        let first = last.saturating_sub(parts / PARTS_PER_SAMPLE);
        Self {
            sample_start: taken.first + first,
            sample_count: last - first + 1,
            label,
            comment: comment(event, duration, rate),
            generator: GENERATOR,
        }
    }
}

/// When it was, in the stream that the record was taken from, and how long it took.
fn comment(event: &Event, duration: Option<Span>, rate: Option<f64>) -> String {
    let at = decimal(event.at);
    match (rate, duration) {
        (Some(rate), Some(time)) => format!(
            "at sample {at} ({:.9} s), took {:.9} s",
            event.at.samples() / rate,
            time.to_seconds(rate)
        ),
        (Some(rate), None) => format!("at sample {at} ({:.9} s)", event.at.samples() / rate),
        (None, Some(time)) => format!("at sample {at}, took {:.3} samples", time.to_samples()),
        (None, None) => format!("at sample {at}"),
    }
}

/// The instant in samples, to a thousandth, exact at every position.
fn decimal(at: Instant) -> String {
    let parts = u128::from(at.position) * u128::from(PARTS_PER_SAMPLE);
    let thousandths = parts.saturating_sub(u128::from(at.lead)) * 1000;
    let rounded = (thousandths + u128::from(PARTS_PER_SAMPLE / 2)) / u128::from(PARTS_PER_SAMPLE);
    format!("{}.{:03}", rounded / 1000, rounded % 1000)
}
