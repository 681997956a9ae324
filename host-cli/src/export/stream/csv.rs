//! CSV: the time of each sample, in seconds of the recording, and a column a channel.

use std::path::Path;

use super::super::csv::{Column, Time, field};
use super::super::{Context, Samples, WholeFile};
use crate::error::Error;

/// When samples were taken, in samples of some rate.
#[derive(Debug, Clone, Copy)]
pub struct Times {
    /// That of the first.
    pub first: f64,
    /// From one to the next.
    pub step: f64,
    /// How many of these there are a second; unknown where there is no rate.
    pub rate: Option<f64>,
    /// Seconds to be added.
    pub start: f64,
}

pub(super) struct Writer {
    file: WholeFile,
    time: Time,
    times: Times,
    context: Context,
}

impl Writer {
    pub(super) fn create(
        path: &Path,
        channels: &[Samples],
        times: Times,
        context: &Context,
    ) -> Result<Self, Error> {
        let mut file = WholeFile::create(path, context.overwrite)?;
        let time = Time::new(times.rate);
        let mut head = time.header().to_owned();
        for (channel, samples) in channels.iter().enumerate() {
            let unit = Column::new(samples, context.scale(channel)).unit();
            head.push(',');
            head.push_str(&field(&format!("{}{unit}", context.name(channel))));
        }
        head.push_str("\r\n");
        file.put(head.as_bytes())?;
        Ok(Self { file, time, times, context: context.clone() })
    }

    /// `before` samples were put already.
    pub(super) fn put(
        &mut self,
        channels: &[Samples],
        frames: usize,
        before: u64,
    ) -> Result<(), Error> {
        let columns: Vec<Column<'_>> = channels
            .iter()
            .enumerate()
            .map(|(channel, samples)| Column::new(samples, self.context.scale(channel)))
            .collect();
        let start = self.times.start * self.times.rate.unwrap_or(0.0);
        let mut text = String::new();
        for index in 0..frames {
            let samples = self.times.first + (before + index as u64) as f64 * self.times.step;
            self.time.append(start + samples, &mut text);
            for column in &columns {
                text.push(',');
                column.append(index, &mut text);
            }
            text.push_str("\r\n");
        }
        self.file.put(text.as_bytes())
    }

    pub(super) fn finish(self) -> Result<(), Error> {
        self.file.finish()
    }
}
