//! CSV, for spreadsheets (RFC 4180, from memory).

use std::path::Path;

use stillwave::{PARTS_PER_SAMPLE, Scale};

use super::{Context, OwnedRecord, Samples, WholeFile, check};
use crate::error::Error;

/// How many bytes are handed on at a time.
const PIECE: usize = 1 << 16;

/// Writes a record as a table: the time of each sample, in seconds from the trigger instant, and
/// a column a channel.
///
/// A channel is in volts where its scale is known, and in counts otherwise; its header says
/// which. Without a rate the time is in samples.
///
/// # Errors
///
/// Where the file is there already or cannot be written.
pub fn csv(record: &OwnedRecord, path: &Path, context: &Context) -> Result<(), Error> {
    check(&path.display().to_string(), record)?;
    let mut file = WholeFile::create(path, context.overwrite)?;
    let columns: Vec<Column<'_>> = record
        .channels
        .iter()
        .enumerate()
        .map(|(channel, samples)| Column::new(samples, context.scale(channel)))
        .collect();

    let time = Time::new(context.rate);
    let mut text = time.header().to_owned();
    for (channel, column) in columns.iter().enumerate() {
        text.push(',');
        text.push_str(&field(&format!("{}{}", context.name(channel), column.unit())));
    }
    text.push_str("\r\n");
    let trigger = record.trigger_offset();
    for index in 0..record.len() {
        time.append(index as f64 - trigger, &mut text);
        for column in &columns {
            text.push(',');
            column.append(index, &mut text);
        }
        text.push_str("\r\n");
        if text.len() >= PIECE {
            file.put(text.as_bytes())?;
            text.clear();
        }
    }
    file.put(text.as_bytes())?;
    file.finish()
}

/// A field, quoted where it must be.
pub(super) fn field(text: &str) -> String {
    if text.contains(['"', ',', '\r', '\n']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// The column of times.
pub(super) struct Time {
    rate: Option<f64>,
    decimals: usize,
}

impl Time {
    pub(super) fn new(rate: Option<f64>) -> Self {
        // As fine as instants are.
        let steps = rate.unwrap_or(1.0) * PARTS_PER_SAMPLE as f64;
        Self { rate, decimals: decimals(1.0 / steps) }
    }

    pub(super) fn header(&self) -> &'static str {
        if self.rate.is_some() { "time (s)" } else { "time (samples)" }
    }

    pub(super) fn append(&self, samples: f64, text: &mut String) {
        text.push_str(&fixed(samples / self.rate.unwrap_or(1.0), self.decimals));
    }
}

/// The column of a channel.
pub(super) struct Column<'a> {
    samples: &'a Samples,
    scale: Option<Scale>,
    decimals: usize,
}

impl<'a> Column<'a> {
    pub(super) fn new(samples: &'a Samples, scale: Option<Scale>) -> Self {
        // A thousandth of a count, so that the count can be told from the volts.
        let decimals = scale.map_or(0, |scale| decimals(scale.volts_per_count.abs() / 1000.0));
        Self { samples, scale, decimals }
    }

    pub(super) fn unit(&self) -> &'static str {
        match self.scale {
            Some(_) => " (V)",
            None => " (counts)",
        }
    }

    pub(super) fn append(&self, index: usize, text: &mut String) {
        let Some(value) = self.samples.get(index) else { return };
        match (self.scale, self.samples) {
            (None, Samples::F32(samples)) => {
                // The shortest digits that mean this `f32`.
                text.push_str(&samples.get(index).map(f32::to_string).unwrap_or_default());
            }
            (None, _) => text.push_str(&value.to_string()),
            (Some(scale), Samples::F32(_)) => {
                text.push_str(&((scale.volts(value)) as f32).to_string());
            }
            (Some(scale), _) => text.push_str(&fixed(scale.volts(value), self.decimals)),
        }
    }
}

/// How many decimals show steps of `step`.
fn decimals(step: f64) -> usize {
    // The cast takes what is negative or not a number as none.
    ((-step.log10()).ceil() as usize).min(20)
}

/// A number with `decimals` decimals, without the sign that rounding to zero leaves.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}
