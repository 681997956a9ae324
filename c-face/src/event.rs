//! Events.

use stillwave::{Event, EventKind, Polarity, Slope, Span, WindowEvent};

use crate::settings::{
    STILLWAVE_DROPOUT, STILLWAVE_EDGE, STILLWAVE_ENTERS, STILLWAVE_FALLING, STILLWAVE_INTERVAL,
    STILLWAVE_LEAVES, STILLWAVE_PULSE, STILLWAVE_RISING, STILLWAVE_RUNT, STILLWAVE_STAYS_INSIDE,
    STILLWAVE_STAYS_OUTSIDE, STILLWAVE_TRANSITION, STILLWAVE_WINDOW,
};

/// Something that the signal did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[repr(C)]
pub struct StillwaveEvent {
    /// The first sample at or past the level, counted from the start of the stream.
    pub position: u64,
    /// How long it took, in 1/65536 of a sample; 0 for what takes no time.
    pub time: u64,
    /// How far before that sample the level was crossed, in 1/65536 of a sample: 0 to 65536.
    pub lead: u32,
    /// What it was: STILLWAVE_EDGE to STILLWAVE_WINDOW.
    pub condition: u32,
    /// Which way: STILLWAVE_RISING or STILLWAVE_FALLING (a pulse's or a runt's: positive or
    /// negative); of a window: STILLWAVE_ENTERS to STILLWAVE_STAYS_OUTSIDE; of a dropout: 0, which
    /// says nothing.
    pub way: u32,
}

impl From<Event> for StillwaveEvent {
    fn from(event: Event) -> Self {
        let slope = |slope| match slope {
            Slope::Rising => STILLWAVE_RISING,
            Slope::Falling => STILLWAVE_FALLING,
        };
        let polarity = |polarity| match polarity {
            Polarity::Positive => STILLWAVE_RISING,
            Polarity::Negative => STILLWAVE_FALLING,
        };
        let (condition, way, time) = match event.kind {
            EventKind::Pulse { polarity: of, width } => (STILLWAVE_PULSE, polarity(of), width),
            EventKind::Interval { slope: of, time } => (STILLWAVE_INTERVAL, slope(of), time),
            EventKind::Dropout { time } => (STILLWAVE_DROPOUT, 0, time),
            EventKind::Transition { slope: of, time } => (STILLWAVE_TRANSITION, slope(of), time),
            EventKind::Runt { polarity: of, width } => (STILLWAVE_RUNT, polarity(of), width),
            EventKind::Window { what } => {
                let (what, time) = match what {
                    WindowEvent::Entered => (STILLWAVE_ENTERS, Span::ZERO),
                    WindowEvent::Left => (STILLWAVE_LEAVES, Span::ZERO),
                    WindowEvent::StayedInside { time } => (STILLWAVE_STAYS_INSIDE, time),
                    WindowEvent::StayedOutside { time } => (STILLWAVE_STAYS_OUTSIDE, time),
                };
                (STILLWAVE_WINDOW, what, time)
            }
            EventKind::Edge { slope: of } => (STILLWAVE_EDGE, slope(of), Span::ZERO),
            // No setting asks for these.
            EventKind::Delay { .. }
            | EventKind::Count { .. }
            | EventKind::Sequence { .. }
            | EventKind::Pattern { .. }
            | EventKind::Setup { .. }
            | EventKind::Hold { .. }
            | EventKind::Uart { .. }
            | EventKind::I2c { .. }
            | EventKind::Spi { .. }
            | EventKind::Video { .. } => (u32::MAX, 0, Span::ZERO),
        };
        let (position, lead) = (event.at.position, event.at.lead);
        Self { position, time: time.parts(), lead, condition, way }
    }
}
