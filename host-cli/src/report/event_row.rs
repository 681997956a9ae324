//! An event as it is written, for people and for programs.

use serde::Serialize;
use stillwave::{Event, Polarity, Slope, Span};

use crate::calibration::Calibration;
use crate::plan::{TimeKind, event_text};

/// An event in SI units: the fields of JSON and CSV.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EventRow {
    /// The first sample at or past the level, counted from 0.
    pub position: u64,
    /// Where the level was crossed, in samples, interpolated.
    pub crossing: f64,
    /// When it was crossed, in seconds; null where no rate is known.
    pub time: Option<f64>,
    /// `edge`, `pulse`, …
    pub kind: &'static str,
    /// The direction of edges or transitions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<Slope>,
    /// A pulse's polarity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub polarity: Option<Polarity>,
    /// What happened at a window or to a pattern, or was text on a serial line: `entered`, `left`,
    /// `stayed-inside`, `stayed`, `character`, …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what: Option<&'static str>,
    /// A pulse's width in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Option<f64>>,
    /// A pulse's width in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width_samples: Option<f64>,
    /// The time between two edges in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval: Option<Option<f64>>,
    /// The time between two edges in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval_samples: Option<f64>,
    /// How long a transition, a stay, a delay or a sequence took, how long there was no edge, how
    /// near data changed to a clock edge, in seconds; null where no rate is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duration: Option<Option<f64>>,
    /// As `duration`, in samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub duration_samples: Option<f64>,
    /// The number of an event since the beginning of its count.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub events: Option<u32>,
    /// An address on an I2C bus.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub address: Option<u8>,
    /// Whether an address was for reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read: Option<bool>,
    /// A character, byte or word on a serial line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<u32>,
    /// The line of a picture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u16>,
    /// The field of a picture: odd or even.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub field: Option<&'static str>,
    /// Whether a byte on an I2C bus was acknowledged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acknowledged: Option<bool>,
    /// Columns of a table that other events of the condition fill, and this one may not.
    #[serde(skip)]
    pub(super) columns: &'static [&'static str],
}

impl EventRow {
    /// The row of an event.
    pub fn new(event: &Event, calibration: &Calibration) -> Self {
        let crossing = event.at.samples();
        let text = event_text(event.kind);
        let lasted =
            |wanted| text.time.filter(|(lasted, _)| *lasted == wanted).map(|(_, span)| span);
        let seconds = |span: Span| calibration.rate.map(|rate| span.to_seconds(rate));
        let [width, interval, duration] =
            [TimeKind::Width, TimeKind::Interval, TimeKind::Duration].map(lasted);
        Self {
            position: event.at.position,
            crossing,
            time: calibration.time(crossing),
            kind: text.kind,
            slope: text.slope,
            polarity: text.polarity,
            what: text.what,
            width: width.map(seconds),
            width_samples: width.map(Span::to_samples),
            interval: interval.map(seconds),
            interval_samples: interval.map(Span::to_samples),
            duration: duration.map(seconds),
            duration_samples: duration.map(Span::to_samples),
            events: text.events,
            address: text.address,
            read: text.read,
            value: text.value,
            line: text.line,
            field: text.field,
            acknowledged: text.acknowledged,
            columns: text.columns,
        }
    }

    /// The event in words.
    pub fn describe(&self) -> String {
        let which = match (self.slope, self.polarity) {
            (Some(Slope::Rising), _) => "rising ",
            (Some(Slope::Falling), _) => "falling ",
            (_, Some(Polarity::Positive)) => "positive ",
            (_, Some(Polarity::Negative)) => "negative ",
            _ => "",
        };
        let what = match self.what {
            Some(what) => what.replace('-', " "),
            None => format!("{which}{}", self.kind),
        };
        let direction = |read| if read { "read" } else { "write" };
        let words = [
            Some(what),
            self.address.map(|address| format!("0x{address:02X}")),
            self.read.map(|read| direction(read).to_owned()),
            self.value.map(|value| format!("0x{value:02X}")),
            self.line.map(|line| format!("line {line}")),
            self.field.map(|field| format!("{field} field")),
            (self.acknowledged == Some(false)).then(|| "not acknowledged".to_owned()),
        ];
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    /// The time that the event is about: what it is, in seconds if they are known, in samples.
    pub(super) fn span(&self) -> Option<(&'static str, Option<f64>, f64)> {
        let spans = [
            ("width", self.width, self.width_samples),
            ("interval", self.interval, self.interval_samples),
            ("duration", self.duration, self.duration_samples),
        ];
        spans.into_iter().find_map(|(name, time, samples)| Some((name, time.flatten(), samples?)))
    }
}

/// The columns of CSV that only some kinds of event have. One condition's events have the same,
/// filled or not.
pub(super) fn csv_extras(row: &EventRow) -> impl Iterator<Item = (&'static str, String)> {
    fn cell<V: ToString>(value: Option<V>) -> String {
        value.map(|value| value.to_string()).unwrap_or_default()
    }
    let column = |name, value: Option<String>| {
        (value.is_some() || row.columns.contains(&name)).then(|| (name, value.unwrap_or_default()))
    };
    [
        column("what", row.what.map(str::to_owned)),
        column("interval", row.interval.map(cell)),
        column("interval_samples", row.interval_samples.map(|samples| samples.to_string())),
        column("duration", row.duration.map(cell)),
        column("duration_samples", row.duration_samples.map(|samples| samples.to_string())),
        column("events", row.events.map(|events| events.to_string())),
        column("address", row.address.map(|address| address.to_string())),
        column("read", row.read.map(|read| read.to_string())),
        column("value", row.value.map(|value| value.to_string())),
        column("acknowledged", row.acknowledged.map(|it| it.to_string())),
        column("line", row.line.map(|line| line.to_string())),
        column("field", row.field.map(str::to_owned)),
    ]
    .into_iter()
    .flatten()
}
