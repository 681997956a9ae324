//! What is known of a recording and its channels.

use stillwave::Scale;

use super::format::Format;
use super::options::OpenOptions;
use super::sample_type::SampleType;
use super::source::Source;
use super::title::without_unit;
use crate::error::Error;

/// More channels than this are taken for a damaged header.
pub(super) const MAX_CHANNELS: usize = 4096;

/// What a file says about one of its channels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Channel {
    /// Its name.
    pub name: Option<String>,
    /// How its values become volts, where the file says so.
    pub scale: Option<Scale>,
    /// Whether its values are a converter's counts, in text.
    pub counts: bool,
    /// The least and the largest value of signed integers, up to the first negative ones; none of a
    /// stream.
    pub seen: Option<(i64, i64)>,
    /// The column of text, from 1, whose values are taken for counts though nothing says so.
    pub guessed: Option<usize>,
}

impl Channel {
    /// Whether its values show that a converter of so many bits counts from 0, though the file's
    /// type has a sign: none is negative, and some are more than that sign would leave room for.
    pub(crate) fn counts_from_zero(&self, bits: u32) -> bool {
        let fits =
            |(least, most): (i64, i64)| least < 0 || most < 1 << bits.saturating_sub(1).min(62);
        self.seen.is_some_and(|seen| !fits(seen))
    }

    /// Its name without the unit, where it ends with one: those who write volts, or counts, say so
    /// themselves.
    pub fn bare_name(&self) -> Option<&str> {
        let name = self.name.as_deref()?;
        Some(if self.scale.is_some() || self.counts { without_unit(name) } else { name })
    }
}

/// What is known of a recording.
#[derive(Debug, Clone)]
pub struct Info {
    /// The file's name, for messages.
    pub name: String,
    /// Its format.
    pub format: Format,
    /// What its samples look like in the file.
    pub sample_type: SampleType,
    /// All its channels, read or not.
    pub channels: Vec<Channel>,
    /// Samples a second.
    pub rate: Option<f64>,
    /// How many samples each channel has, where that is known beforehand.
    pub frames: Option<u64>,
    /// The time of the first sample, in seconds.
    pub start_time: f64,
    /// What the user should be told; see [`Reader::take_notices`](super::Reader::take_notices).
    pub notices: Vec<String>,
}

impl Info {
    pub(super) fn new(
        source: &Source,
        format: Format,
        sample_type: SampleType,
        channels: usize,
    ) -> Self {
        Self {
            name: source.name().to_owned(),
            format,
            sample_type,
            channels: vec![Channel::default(); channels.min(MAX_CHANNELS + 1)],
            rate: None,
            frames: None,
            start_time: 0.0,
            notices: Vec::new(),
        }
    }

    /// What was assumed of the channels read, for those who do not say more.
    pub(crate) fn guesses(&self, selected: &[usize]) -> Option<String> {
        let column = |&channel: &usize| self.channels.get(channel)?.guessed;
        let columns: Vec<String> =
            selected.iter().filter_map(column).map(|column| column.to_string()).collect();
        let (hold, name) = match &columns[..] {
            [] => return None,
            [one] => (format!("column {one} holds"), "it"),
            _ => (format!("columns {} hold", columns.join(", ")), "them"),
        };
        Some(format!(
            "{}: {hold} whole numbers without a unit: taken for counts; for volts name {name} with \
             the unit, such as \"mains (V)\"",
            self.name
        ))
    }

    /// Settles the rate and the channels to read.
    pub(super) fn select(&mut self, options: &OpenOptions) -> Result<Vec<usize>, Error> {
        if let Some(rate) = options.rate {
            if let Some(own) = self.rate.filter(|own| (own / rate - 1.0).abs() > 1e-6) {
                self.notices
                    .push(format!("the file states {own} samples a second; --rate {rate} is used"));
            }
            self.rate = Some(rate);
        }
        let count = self.channels.len();
        let Some(wanted) = &options.channels else {
            return Ok((0..count).collect());
        };
        match wanted.iter().find(|channel| **channel >= count) {
            None => Ok(wanted.clone()),
            Some(channel) => Err(Error::usage(
                format!("{}: there is no channel {}", self.name, channel.saturating_add(1)),
                match count {
                    1 => "it has one channel".to_owned(),
                    _ => format!("choose from 1 to {count}"),
                },
            )),
        }
    }
}
