//! An event as a line of JSON.

use core::fmt::{self, Write as _};

use heapless::String;
use stillwave::{Event, EventKind, Instant, PARTS_PER_SAMPLE, Polarity, Slope};

use crate::error::Error;

/// A line, and room for the longest.
pub(crate) type Line = String<256>;

/// Who reads the lines.
#[derive(Clone, Copy)]
pub(crate) enum Style {
    /// The lines that the tool prints, in seconds where a rate is known.
    Tool { rate: Option<f64> },
    /// The engine's own events.
    Engine,
}

/// The line of an event.
pub(crate) fn line(event: Event, style: Style) -> Result<Line, Error> {
    let mut line = Line::new();
    match style {
        Style::Tool { rate } => writeln!(line, "{}", ToolEvent { event, rate }),
        Style::Engine => {
            let json = serde_json_core::to_string::<_, 256>(&event);
            writeln!(line, "{}", json.map_err(|_| Error::Unwritable)?)
        }
    }
    .map_err(|_| Error::Unwritable)?;
    Ok(line)
}

/// Two numbers.
pub(crate) fn numbers([a, b]: [i64; 2]) -> Result<Line, Error> {
    let mut line = Line::new();
    writeln!(line, "{a} {b}").map_err(|_| Error::Unwritable)?;
    Ok(line)
}

struct ToolEvent {
    event: Event,
    rate: Option<f64>,
}

impl fmt::Display for ToolEvent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Event { at, kind } = self.event;
        let time = OrNull(self.rate.map(|rate| at.samples() / rate));
        write!(f, r#"{{"position":{},"crossing":{},"time":{time},"#, at.position, Samples(at))?;
        match kind {
            EventKind::Edge { slope } => {
                let slope = match slope {
                    Slope::Rising => "rising",
                    Slope::Falling => "falling",
                };
                write!(f, r#""kind":"edge","slope":"{slope}"}}"#)
            }
            EventKind::Pulse { polarity, width } => {
                let polarity = match polarity {
                    Polarity::Positive => "positive",
                    Polarity::Negative => "negative",
                };
                let seconds = OrNull(self.rate.map(|rate| width.to_seconds(rate)));
                let samples = width.to_samples();
                write!(f, r#""kind":"pulse","polarity":"{polarity}","width":{seconds},"#)?;
                write!(f, r#""width_samples":{samples}}}"#)
            }
            // No word but `setup=` asks for another.
            _ => Err(fmt::Error),
        }
    }
}

/// A number that may not be known.
struct OrNull(Option<f64>);

impl fmt::Display for OrNull {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Some(number) => number.fmt(f),
            None => f.write_str("null"),
        }
    }
}

/// An instant in samples, to the last digit: a 65536th has 16 decimals.
struct Samples(Instant);

impl fmt::Display for Samples {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        /// 10^16 / 65536
        const DECIMALS_PER_PART: u64 = 152_587_890_625;
        let lead = u64::from(self.0.lead);
        let before = lead.div_ceil(PARTS_PER_SAMPLE);
        let parts = before * PARTS_PER_SAMPLE - lead;
        let whole = self.0.position.saturating_sub(before);
        write!(f, "{whole}.{:016}", parts * DECIMALS_PER_PART)
    }
}
