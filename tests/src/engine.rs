//! The engine under test, in the words of the oracle.

use crate::kind::Kind;
use crate::oracle::{Found, Hold, Pace, What, Width};
use stillwave::{
    Block, Comparison, Condition, Event, EventKind, Holdoff, Mode, Polarity, Slope, Span,
    WindowEvent,
};

/// Any condition on samples of one type, so that one test serves all.
pub struct AnyCondition<T>(pub Box<dyn Condition<Sample = T>>);

impl<T: Kind> Condition for AnyCondition<T> {
    type Sample = T;

    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        self.0.next(block)
    }

    fn gap(&mut self) {
        self.0.gap();
    }

    fn reset(&mut self) {
        self.0.reset();
    }
}

/// An event of the engine.
///
/// # Panics
/// On an event that no oracle knows.
pub fn found(event: Event) -> Found {
    let what = match event.kind {
        EventKind::Edge { slope: Slope::Rising } => What::Rise,
        EventKind::Edge { slope: Slope::Falling } => What::Fall,
        EventKind::Pulse { polarity: Polarity::Positive, width } => What::Positive(width.parts()),
        EventKind::Pulse { polarity: Polarity::Negative, width } => What::Negative(width.parts()),
        EventKind::Interval { slope, time } => {
            What::Interval { rising: slope == Slope::Rising, time: time.parts() }
        }
        EventKind::Dropout { time } => What::Dropout { time: time.parts() },
        EventKind::Transition { slope, time } => {
            What::Transition { rising: slope == Slope::Rising, time: time.parts() }
        }
        EventKind::Runt { polarity, width } => {
            What::Runt { positive: polarity == Polarity::Positive, width: width.parts() }
        }
        EventKind::Window { what } => match what {
            WindowEvent::Entered => What::Went { inside: true },
            WindowEvent::Left => What::Went { inside: false },
            WindowEvent::StayedInside { time } => What::Stayed { inside: true, time: time.parts() },
            WindowEvent::StayedOutside { time } => {
                What::Stayed { inside: false, time: time.parts() }
            }
        },
        other => panic!("an event that no oracle knows: {other:?}"),
    };
    Found { position: event.at.position, lead: event.at.lead, what }
}

/// Widths to look for.
pub fn comparison(width: Width) -> Comparison {
    let span = Span::from_parts;
    match width {
        Width::ShorterThan(a) => Comparison::ShorterThan(span(a)),
        Width::LongerThan(a) => Comparison::LongerThan(span(a)),
        Width::Within(a, b) => Comparison::Within(span(a), span(b)),
        Width::Outside(a, b) => Comparison::Outside(span(a), span(b)),
    }
}

/// Events to accept.
pub fn holdoff(hold: Hold) -> Holdoff {
    match hold {
        Hold::None => Holdoff::None,
        Hold::Samples(samples) => Holdoff::Samples(samples),
        Hold::Every(n) => Holdoff::Every(n),
    }
}

/// When records start.
pub fn mode(pace: Pace) -> Mode {
    match pace {
        Pace::Normal => Mode::Normal,
        Pace::Auto(after) => Mode::Auto { after },
        Pace::Single => Mode::Single,
    }
}

/// Memory for blocks: every block stands at another alignment, amid samples that would make
/// events if anything looked at them.
#[derive(Clone, Debug, Default)]
pub struct Desk<T> {
    memory: Vec<T>,
    turn: usize,
}

impl<T: Kind> Desk<T> {
    /// Lays out a block.
    pub fn lay(&mut self, block: &[T]) -> &[T] {
        self.turn += 1;
        let alarm = [T::MIN, T::MAX].into_iter().cycle();
        let before = self.turn % 37;
        self.memory.clear();
        self.memory.extend(alarm.clone().take(before));
        self.memory.extend_from_slice(block);
        self.memory.extend(alarm.take(300));
        &self.memory[before..before + block.len()]
    }
}
