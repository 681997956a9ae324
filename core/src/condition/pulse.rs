//! Pulse width: a pulse ends that was shorter or longer than a bound.
//!
//! ```text
//! level ──────•────────────       begins where the signal passes the level,
//!            ╱ ╲    width         ends where it passes level − hysteresis (positive),
//! − hyst. ──╱───•── ◄────►        fires at the end
//! ```

use super::timed::{Timed, by_rule};
use super::{Configuration, OneOrBoth, PulsePolarity, Relaxed, Setup, configuration};
use crate::compare::Flip;
use crate::{Comparator, Comparison, ConfigError, Event, EventKind, Level, Sample, Slope};

configuration! {
    /// Fires at the end of a pulse whose width counts: [`Pulse`].
    pub struct PulseConfig<T: Sample> {
        /// Whether the pulse is above or below its surroundings.
        pub polarity: PulsePolarity,
        /// The level at which the pulse begins.
        pub level: Level<T>,
        /// The widths that count.
        pub width: Comparison,
    }
}

impl<T: Sample> Configuration<T> for PulseConfig<T> {
    type Condition = OneOrBoth<Pulse<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        OneOrBoth::of_polarity(self.polarity, |polarity| {
            Pulse::new(polarity, self.level, self.width)
        })
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.polarity.begins().each(|slope| each(slope, self.level));
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed::timed(Setup::from(Self { width: Comparison::ANY, ..*self }), self.width))
    }
}

/// The direction in which a pulse leaves its surroundings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Polarity {
    /// Upwards: it begins with a rising edge.
    Positive,
    /// Downwards: it begins with a falling edge.
    Negative,
}

/// Fires at the end of a pulse whose width passes the comparison.
///
/// A positive pulse begins where a rising edge through the level L fires and ends at the first
/// later sample x < L − h; a negative pulse is the mirror. The width is measured from crossing to
/// crossing (at L, and at L − h). A pulse that is already in progress when the stream begins never
/// counts.
///
/// ```
/// use stillwave::{Block, Comparison, Condition, EventKind, Level, Polarity, Pulse, Span};
/// let level = Level::<u8>::new(100, 50)?;
/// let mut pulse = Pulse::new(Polarity::Positive, level, Comparison::ShorterThan(Span::samples(5)))?;
/// let samples: [u8; 7] = [0, 100, 100, 100, 0, 0, 0];
/// let channels = [&samples[..]];
/// let event = pulse.next(&Block::new(0, &channels)).unwrap();
/// // From 100 at sample 1 to half way between samples 3 and 4.
/// assert_eq!(event.at.samples(), 3.5);
/// let width = Span::from_parts(2 * 65536 + 32768);
/// assert_eq!(event.kind, EventKind::Pulse { polarity: Polarity::Positive, width });
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Pulse<T: Sample> {
    timed: Timed<Comparator<T>>,
    width: Comparison,
}

impl<T: Sample> Pulse<T> {
    /// Makes a condition that compares the `width` of pulses through `level`.
    ///
    /// # Errors
    /// The errors of [`Level::new`] and [`Comparison::validated`].
    pub fn new(
        polarity: Polarity,
        level: Level<T>,
        width: Comparison,
    ) -> Result<Self, ConfigError> {
        let slope = match polarity {
            Polarity::Positive => Slope::Rising,
            Polarity::Negative => Slope::Falling,
        };
        Ok(Self { timed: Timed::new(Comparator::new(slope, level)?), width: width.validated()? })
    }

    /// The rule that decides whether a flip is an event.
    #[inline]
    fn rule(&self) -> impl Fn(&mut Option<Flip<T>>, Flip<T>) -> Option<Event> + use<T> {
        let (polarity, asked) = (self.polarity(), self.width);
        move |begin, flip| event(polarity, asked, begin, flip)
    }

    fn polarity(&self) -> Polarity {
        match self.timed.steps.slope() {
            Slope::Rising => Polarity::Positive,
            Slope::Falling => Polarity::Negative,
        }
    }
}

/// The event, if `flip` ends the pulse that an earlier flip began.
#[inline]
fn event<T: Sample>(
    polarity: Polarity,
    asked: Comparison,
    begin: &mut Option<Flip<T>>,
    flip: Flip<T>,
) -> Option<Event> {
    let begins = match polarity {
        Polarity::Positive => Slope::Rising,
        Polarity::Negative => Slope::Falling,
    };
    if flip.slope == begins {
        *begin = Some(flip);
        return None;
    }
    let (at, width) = asked.measured(begin.take()?, flip)?;
    Some(Event { at, kind: EventKind::Pulse { polarity, width } })
}

by_rule!(Pulse);
