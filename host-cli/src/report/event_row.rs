//! An event as it is written, for people and for programs.

use serde::Serialize;
use stillwave::{
    Event, EventKind, I2cEvent, PatternEvent, Polarity, Slope, Span, UartEvent, VideoField,
    WindowEvent,
};

use crate::calibration::Calibration;

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
    /// What happened at a window or to a pattern, or was said on a serial line: `entered`, `left`,
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
}

impl EventRow {
    /// The row of an event.
    pub fn new(event: &Event, calibration: &Calibration) -> Self {
        let crossing = event.at.samples();
        let mut row = Self {
            position: event.at.position,
            crossing,
            time: calibration.time(crossing),
            kind: "event",
            slope: None,
            polarity: None,
            what: None,
            width: None,
            width_samples: None,
            interval: None,
            interval_samples: None,
            duration: None,
            duration_samples: None,
            events: None,
            address: None,
            read: None,
            value: None,
            acknowledged: None,
            line: None,
            field: None,
        };
        let seconds = |span: Span| Some(calibration.rate.map(|rate| span.to_seconds(rate)));
        match event.kind {
            EventKind::Edge { slope } => {
                row.kind = "edge";
                row.slope = Some(slope);
            }
            EventKind::Pulse { polarity, width } | EventKind::Runt { polarity, width } => {
                let runt = matches!(event.kind, EventKind::Runt { .. });
                row.kind = if runt { "runt" } else { "pulse" };
                row.polarity = Some(polarity);
                row.width = seconds(width);
                row.width_samples = Some(width.to_samples());
            }
            EventKind::Interval { slope, time } => {
                row.kind = "interval";
                row.slope = Some(slope);
                row.interval = seconds(time);
                row.interval_samples = Some(time.to_samples());
            }
            EventKind::Dropout { time } => {
                row.kind = "dropout";
                row.duration = seconds(time);
                row.duration_samples = Some(time.to_samples());
            }
            EventKind::Transition { slope, time } => {
                row.kind = "transition";
                row.slope = Some(slope);
                row.duration = seconds(time);
                row.duration_samples = Some(time.to_samples());
            }
            EventKind::Window { what } => {
                let (what, time) = match what {
                    WindowEvent::Entered => ("entered", None),
                    WindowEvent::Left => ("left", None),
                    WindowEvent::StayedInside { time } => ("stayed-inside", Some(time)),
                    WindowEvent::StayedOutside { time } => ("stayed-outside", Some(time)),
                };
                row.kind = "window";
                row.what = Some(what);
                row.duration = time.and_then(seconds);
                row.duration_samples = time.map(Span::to_samples);
            }
            other => row.of_several(other, calibration),
        }
        row
    }

    /// What came of several channels, or was said on serial lines.
    fn of_several(&mut self, kind: EventKind, calibration: &Calibration) {
        let time = match kind {
            EventKind::Delay { time } => {
                self.kind = "delay";
                Some(time)
            }
            EventKind::Count { events } => {
                self.kind = "count";
                self.events = Some(events);
                None
            }
            EventKind::Sequence { time } => {
                self.kind = "sequence";
                Some(time)
            }
            EventKind::Pattern { what } => {
                self.kind = "pattern";
                let (what, time) = match what {
                    PatternEvent::Entered => ("entered", None),
                    PatternEvent::Left => ("left", None),
                    PatternEvent::Stayed { time } => ("stayed", Some(time)),
                };
                self.what = Some(what);
                time
            }
            EventKind::Setup { time } => {
                self.kind = "setup";
                Some(time)
            }
            EventKind::Hold { time } => {
                self.kind = "hold";
                Some(time)
            }
            EventKind::Uart { what } => self.of_uart(what),
            EventKind::I2c { what } => {
                self.of_i2c(what);
                None
            }
            EventKind::Spi { word } => {
                self.kind = "spi";
                self.value = Some(word);
                None
            }
            EventKind::Video { line, field } => {
                self.kind = "video";
                self.line = Some(line);
                self.field = Some(field_name(field));
                None
            }
            _ => None,
        };
        self.duration = time.map(|time| calibration.rate.map(|rate| time.to_seconds(rate)));
        self.duration_samples = time.map(Span::to_samples);
    }

    fn of_uart(&mut self, what: UartEvent) -> Option<Span> {
        self.kind = "uart";
        let (what, value, time) = match what {
            UartEvent::Start => ("start", None, None),
            UartEvent::Character { value } => ("character", Some(value), None),
            UartEvent::FramingError { value } => ("framing-error", Some(value), None),
            UartEvent::ParityError { value } => ("parity-error", Some(value), None),
            UartEvent::Break { time } => ("break", None, Some(time)),
        };
        (self.what, self.value) = (Some(what), value.map(u32::from));
        time
    }

    fn of_i2c(&mut self, what: I2cEvent) {
        self.kind = "i2c";
        self.what = Some(match what {
            I2cEvent::Start => "start",
            I2cEvent::Stop => "stop",
            I2cEvent::Address { address, read, acknowledged } => {
                (self.address, self.read) = (Some(address), Some(read));
                self.acknowledged = Some(acknowledged);
                "address"
            }
            I2cEvent::Data { value, acknowledged } => {
                (self.value, self.acknowledged) = (Some(value.into()), Some(acknowledged));
                "data"
            }
        });
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

/// What a field of a picture is called.
pub(crate) fn field_name(field: VideoField) -> &'static str {
    match field {
        VideoField::First => "odd",
        VideoField::Second => "even",
    }
}

/// The columns of CSV that only some kinds of event have. One condition's events have the same,
/// filled or not.
pub(super) fn csv_extras(row: &EventRow) -> impl Iterator<Item = (&'static str, String)> {
    fn cell<V: ToString>(value: Option<V>) -> String {
        value.map(|value| value.to_string()).unwrap_or_default()
    }
    let bus = row.kind == "i2c";
    let value = bus || row.kind == "spi" || (row.kind == "uart" && row.duration.is_none());
    [
        row.what.map(|what| ("what", what.to_owned())),
        row.interval.map(|time| ("interval", cell(time))),
        row.interval_samples.map(|samples| ("interval_samples", samples.to_string())),
        row.duration.map(|time| ("duration", cell(time))),
        row.duration_samples.map(|samples| ("duration_samples", samples.to_string())),
        row.events.map(|events| ("events", events.to_string())),
        bus.then(|| ("address", cell(row.address))),
        bus.then(|| ("read", cell(row.read))),
        value.then(|| ("value", cell(row.value))),
        bus.then(|| ("acknowledged", cell(row.acknowledged))),
        row.line.map(|line| ("line", line.to_string())),
        row.field.map(|field| ("field", field.to_owned())),
    ]
    .into_iter()
    .flatten()
}
