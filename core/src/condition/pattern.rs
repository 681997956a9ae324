//! Pattern: several channels are in given states at the same time.
//!
//! ```text
//! high    ____╱▔▔▔▔▔▔▔▔▔▔▔▔▔╲___     asked for: high on one channel, low on another
//! low     ▔▔▔▔▔▔╲________________
//! true           ▀▀▀▀▀▀▀▀▀▀▀
//! fires          ▲     ▲     ▲
//!          entered  longer   left, or shorter than T
//! ```

use heapless::Vec;

use super::Deadline;
use super::sides::{Side, Sides, Turn};
use super::{Configuration, Relaxed, configuration};
use crate::{
    Block, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Slope, Span, Stay,
};

/// The largest number of channels in a pattern chosen at run time.
pub const PATTERN_LINES: usize = 16;

configuration! {
    /// Fires on a combination of states of several channels: [`Pattern`].
    pub struct PatternConfig<T: Sample> {
        /// The channels; those that the pattern does not need are set to ignored.
        pub lines: [PatternLine<T>; PATTERN_LINES],
        /// Which part of the match fires.
        pub when: PatternWhen,
    }
}

impl<T: Sample> Configuration<T> for PatternConfig<T> {
    type Condition = Pattern<T, PATTERN_LINES>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Pattern::new(self.lines, self.when)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        for line in self.lines.iter().filter(|line| line.state != LineState::Ignored) {
            each(Slope::Rising, line.level);
        }
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let PatternWhen::Stays(stay) = self.when else { return None };
        let when = PatternWhen::Stays(Stay::ShorterThan(Span::MAX));
        Some(Relaxed::timed(Self { when, ..*self }, stay.into()))
    }
}

/// The state that a channel of a pattern must be in, or the change that it must make.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum LineState {
    /// Any state.
    #[default]
    Ignored,
    /// High.
    High,
    /// Low.
    Low,
    /// A change from low to high at this sample.
    Rising,
    /// A change from high to low at this sample.
    Falling,
    /// A change in either direction at this sample.
    Either,
}

impl LineState {
    fn is_change(self) -> bool {
        matches!(self, Self::Rising | Self::Falling | Self::Either)
    }
}

configuration! {
    /// One channel of a pattern, and the state it must be in.
    #[derive(Default)]
    pub struct PatternLine<T: Sample> {
        /// The state or change that the channel must have.
        pub state: LineState,
        /// The level and the channel. The channel is high from the first sample x ≥ L on and low
        /// from the first sample x < L − h on.
        pub level: Level<T>,
    }
}

/// Which part of the match of a [`Pattern`] fires.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PatternWhen {
    /// The pattern becomes true.
    #[default]
    Enters,
    /// The pattern stops being true.
    Leaves,
    /// The pattern is true for a time.
    Stays(Stay),
}

/// What happened to a [`Pattern`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PatternEvent {
    /// The pattern has become true.
    Entered,
    /// The pattern has stopped being true.
    Left,
    /// The pattern has been true for a time.
    Stayed {
        /// How long, up to now.
        time: Span,
    },
}

/// Fires when a pattern of `N` channels becomes true, stops being true, or has been true for longer
/// or shorter than a time.
///
/// The pattern is true at every sample at which all its channels have their states. At the start
/// and after a gap, each channel is neither high nor low until its first sample beyond a threshold.
/// If the pattern is true when the states of all its channels are first known, it did not become
/// true there, and its time is not known: it can only stop being true.
///
/// A "shorter than" stay is measured from instant to instant. A "longer than" stay of T samples
/// that began at position p fires at exactly p + T if the pattern is true up to and including that
/// sample; once per stay, as soon as that sample is there.
///
/// With channels that must change, the pattern is true at single samples: those at which all of
/// these channels change and the others have their states, including changes at that sample. It
/// fires at each of them.
///
/// The event's instant is the time at which the last channel reached its state, or the first
/// channel left it.
///
/// ```
/// use stillwave::{Block, Condition, Level, LineState, Pattern, PatternLine, PatternWhen};
/// let level = Level::<u8>::new(100, 0)?;
/// // Channel 1 rises while channel 0 is low.
/// let lines = [
///     PatternLine { state: LineState::Low, level },
///     PatternLine { state: LineState::Rising, level: level.on_channel(1) },
/// ];
/// let mut pattern = Pattern::new(lines, PatternWhen::Enters)?;
/// let channels: [&[u8]; 2] = [&[200, 200, 200, 0, 0, 0], &[0, 200, 0, 0, 200, 0]];
/// let block = Block::new(0, &channels);
/// assert_eq!(pattern.next(&block).map(|event| event.at.samples()), Some(3.5));
/// assert_eq!(pattern.next(&block), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Pattern<T: Sample, const N: usize> {
    lines: Vec<Line<T>, N>,
    when: PatternWhen,
    /// Whether a channel must change, so that the pattern is true at single samples.
    momentary: bool,
    state: State,
    deadline: Deadline,
}

#[derive(Clone, Debug)]
struct Line<T: Sample> {
    wanted: LineState,
    sides: Sides<T>,
    side: Option<Side>,
}

#[derive(Clone, Copy, Debug)]
enum State {
    /// The states of some channels are not known yet.
    Unknown,
    False,
    /// True since the instant, if that is known.
    True(Option<Instant>),
}

/// What happened at one sample.
#[derive(Clone, Copy, Debug)]
struct Step {
    /// The first and the last change of a channel at this sample.
    first: Instant,
    last: Instant,
    known: bool,
    matches: bool,
}

impl<T: Sample, const N: usize> Pattern<T, N> {
    /// Makes a pattern of `lines`, in any order; ignored channels cost nothing.
    ///
    /// # Errors
    /// All `lines` are ignored; a channel must change and `when` is not `Enters`; the errors of
    /// [`Level::new`].
    pub fn new(lines: [PatternLine<T>; N], when: PatternWhen) -> Result<Self, ConfigError> {
        let mut checked = Vec::new();
        for PatternLine { state, level } in lines {
            if state != LineState::Ignored {
                let line = Line { wanted: state, sides: Sides::new(level)?, side: None };
                // There is room for all.
                let _ = checked.push(line);
            }
        }
        let changes = lines.iter().filter(|line| line.state.is_change()).count();
        if checked.is_empty() {
            return Err(ConfigError::new("lines", 0.0, "1 or more that are not ignored"));
        }
        if changes > 0 && when != PatternWhen::Enters {
            let range = "0 for a pattern that is left or lasts";
            return Err(ConfigError::new("lines that change", changes as f64, range));
        }
        let (state, deadline) = (State::Unknown, Deadline::default());
        Ok(Self { lines: checked, when, momentary: changes > 0, state, deadline })
    }

    /// The position of the next change of any channel.
    #[inline]
    fn next_turn(&mut self, block: &Block<'_, T>) -> Option<u64> {
        let turns = self.lines.iter_mut().filter_map(|line| line.sides.peek(block));
        turns.map(|turn| turn.at.position).min()
    }

    /// Processes every change at `position`.
    #[inline]
    fn step(&mut self, block: &Block<'_, T>, position: u64) -> Step {
        let mut step = Step {
            first: Instant::at(position),
            last: Instant { position, lead: u32::MAX },
            known: true,
            matches: true,
        };
        for line in &mut self.lines {
            let turn = line.sides.peek(block).filter(|turn| turn.at.position == position);
            if let Some(Turn { into, at, .. }) = turn {
                line.sides.take();
                line.side = Some(into);
                step.first.lead = step.first.lead.max(at.lead);
                step.last.lead = step.last.lead.min(at.lead);
            }
            let changed = turn.is_some_and(|turn| !turn.first);
            step.known &= line.side.is_some();
            step.matches &= match line.wanted {
                LineState::Ignored => true,
                LineState::High => line.side == Some(Side::High),
                LineState::Low => line.side == Some(Side::Low),
                LineState::Rising => changed && line.side == Some(Side::High),
                LineState::Falling => changed && line.side == Some(Side::Low),
                LineState::Either => changed,
            };
        }
        step
    }

    /// The event, if a step causes one.
    #[inline]
    fn follow(&mut self, step: Step) -> Option<(Instant, PatternEvent)> {
        if self.momentary {
            return step.matches.then_some((step.last, PatternEvent::Entered));
        }
        match self.state {
            State::Unknown if step.known => {
                self.state = if step.matches { State::True(None) } else { State::False };
                None
            }
            State::False if step.matches => {
                self.state = State::True(Some(step.last));
                if let PatternWhen::Stays(Stay::LongerThan(samples)) = self.when {
                    self.deadline.set(step.last, samples);
                }
                (self.when == PatternWhen::Enters).then_some((step.last, PatternEvent::Entered))
            }
            State::True(since) if !step.matches => {
                self.state = State::False;
                self.deadline.clear();
                let what = match self.when {
                    PatternWhen::Leaves => Some(PatternEvent::Left),
                    PatternWhen::Stays(Stay::ShorterThan(bound)) => since
                        .map(|since| step.first.since(since))
                        .filter(|&time| time < bound)
                        .map(|time| PatternEvent::Stayed { time }),
                    _ => None,
                };
                what.map(|what| (step.first, what))
            }
            _ => None,
        }
    }

    fn forget(&mut self) {
        self.state = State::Unknown;
        self.deadline.clear();
    }
}

impl<T: Sample, const N: usize> Condition for Pattern<T, N> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let turn = self.next_turn(block);
            if let Some((at, time)) = self.deadline.run_out(turn.map(Instant::at), block.end()) {
                let what = PatternEvent::Stayed { time };
                return Some(Event { at, kind: EventKind::Pattern { what } });
            }
            let step = self.step(block, turn?);
            if let Some((at, what)) = self.follow(step) {
                return Some(Event { at, kind: EventKind::Pattern { what } });
            }
        }
    }

    fn gap(&mut self) {
        self.forget();
        for line in &mut self.lines {
            line.sides.gap();
            line.side = None;
        }
    }

    fn reset(&mut self) {
        self.forget();
        for line in &mut self.lines {
            line.sides.reset();
            line.side = None;
        }
    }
}
