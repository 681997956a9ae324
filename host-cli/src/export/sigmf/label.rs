//! Events in the few characters that a label has.

use stillwave::{EventKind, PatternEvent, Polarity, Slope, Span, WindowEvent};

/// A label of at most 20 characters, and how long the event took, if it took a time.
pub(super) fn of(kind: EventKind) -> (&'static str, Option<Span>) {
    use Polarity::{Negative, Positive};
    use Slope::{Falling, Rising};
    match kind {
        EventKind::Edge { slope: Rising } => ("rising edge", None),
        EventKind::Edge { slope: Falling } => ("falling edge", None),
        EventKind::Pulse { polarity: Positive, width } => ("positive pulse", Some(width)),
        EventKind::Pulse { polarity: Negative, width } => ("negative pulse", Some(width)),
        EventKind::Interval { slope: Rising, time } => ("rising interval", Some(time)),
        EventKind::Interval { slope: Falling, time } => ("falling interval", Some(time)),
        EventKind::Dropout { time } => ("dropout", Some(time)),
        EventKind::Transition { slope: Rising, time } => ("rising transition", Some(time)),
        EventKind::Transition { slope: Falling, time } => ("falling transition", Some(time)),
        EventKind::Runt { polarity: Positive, width } => ("positive runt", Some(width)),
        EventKind::Runt { polarity: Negative, width } => ("negative runt", Some(width)),
        EventKind::Window { what } => match what {
            WindowEvent::Entered => ("window entered", None),
            WindowEvent::Left => ("window left", None),
            WindowEvent::StayedInside { time } => ("inside window", Some(time)),
            WindowEvent::StayedOutside { time } => ("outside window", Some(time)),
        },
        EventKind::Delay { time } => ("delay", Some(time)),
        EventKind::Count { .. } => ("count", None),
        EventKind::Sequence { time } => ("sequence", Some(time)),
        EventKind::Pattern { what } => match what {
            PatternEvent::Entered => ("pattern began", None),
            PatternEvent::Left => ("pattern ended", None),
            PatternEvent::Stayed { time } => ("pattern stayed", Some(time)),
        },
        EventKind::Setup { time } => ("setup too short", Some(time)),
        EventKind::Hold { time } => ("hold too short", Some(time)),
        _ => ("event", None),
    }
}
