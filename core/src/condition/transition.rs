//! Transition time: the signal goes from one level to another faster or slower than a bound.
//!
//! ```text
//! high ─────────────•───      rising: begins where the signal passes low,
//!                 ╱           ends where it passes high, fires there;
//! low ────•─────╱───────      one that goes back through low − hysteresis
//! − hyst.╱──╲_╱─────────      begins anew
//!      _╱ ◄─ time ─►          falling: the mirror
//! ```

use super::timed::{Timed, by_rule};
use super::{Configuration, EdgeSlope, OneOrBoth, Relaxed, Setup, configuration};
use super::{Step, Thresholds};
use crate::compare::Flip;
use crate::{Band, Comparison, ConfigError, Event, EventKind, Level, Sample, Slope};

configuration! {
    /// Fires when the time the signal takes from one level to another counts: [`Transition`].
    pub struct TransitionConfig<T: Sample> {
        /// The direction.
        pub slope: EdgeSlope,
        /// The two levels.
        pub band: Band<T>,
        /// The times that count.
        pub time: Comparison,
    }
}

impl<T: Sample> Configuration<T> for TransitionConfig<T> {
    type Condition = OneOrBoth<Transition<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        OneOrBoth::of_slope(self.slope, |slope| Transition::new(slope, self.band, self.time))
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        for level in [self.band.lower(), self.band.upper()] {
            self.slope.each(|slope| each(slope, level));
        }
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed::timed(Setup::from(Self { time: Comparison::ANY, ..*self }), self.time))
    }
}

/// Fires at the end of a transition between the two levels of a band, if its time passes the
/// comparison.
///
/// A rising transition begins where a rising edge through the lower level fires, with the band's
/// hysteresis h, and ends at the first sample x ≥ high from there on. It does not count if the
/// signal turned back before that: a sample x < low − h. A falling transition is the mirror: from
/// the upper level to the lower, turned back by x > high + h. The time runs from crossing to
/// crossing, each by interpolation, in 1/65536 of a sample; both may be between the same two
/// samples. If the signal begins between the levels, or is there after a gap, it makes a transition
/// only after it has been below low − h (above high + h).
///
/// With levels at 10 % and 90 % of the signal's amplitude, this is the rise time (transition
/// duration in IEEE Std 181-2011; from memory).
///
/// ```
/// use stillwave::{Band, Block, Comparison, Condition, EventKind, Slope, Span, Transition};
/// let band = Band::<u8>::new(20, 180, 10)?;
/// let slow = Comparison::LongerThan(Span::samples(2));
/// let mut transition = Transition::new(Slope::Rising, band, slow)?;
/// let samples: [u8; 9] = [0, 200, 200, 0, 40, 80, 120, 160, 200];
/// let channels = [&samples[..]];
/// let event = transition.next(&Block::new(0, &channels)).unwrap();
/// // The first is too fast; the second runs from half after sample 3 to half after sample 7.
/// assert_eq!(event.at.samples(), 7.5);
/// assert_eq!(event.kind, EventKind::Transition { slope: Slope::Rising, time: Span::samples(4) });
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Transition<T: Sample> {
    timed: Timed<Thresholds<T>>,
    time: Comparison,
}

impl<T: Sample> Transition<T> {
    /// Makes a condition that compares the `time` of transitions of one slope between the levels of
    /// `band`.
    ///
    /// # Errors
    /// The errors of [`Band::new`] and [`Comparison::validated`].
    pub fn new(slope: Slope, band: Band<T>, time: Comparison) -> Result<Self, ConfigError> {
        let timed = Timed::new(Thresholds::new(slope, band)?);
        Ok(Self { timed, time: time.validated()? })
    }

    /// The rule that decides whether a step is an event.
    #[inline]
    fn rule(&self) -> impl Fn(&mut Option<Flip<T>>, Step<T>) -> Option<Event> + use<T> {
        let (slope, asked) = (self.timed.steps.slope(), self.time);
        move |begin, step| event(slope, asked, begin, step)
    }
}

/// The event, if `step` ends the transition that an earlier step began.
#[inline]
fn event<T: Sample>(
    slope: Slope,
    asked: Comparison,
    begin: &mut Option<Flip<T>>,
    step: Step<T>,
) -> Option<Event> {
    let end = match step {
        Step::First(flip) => {
            *begin = Some(flip);
            return None;
        }
        Step::Back(_) => {
            *begin = None;
            return None;
        }
        Step::Second(flip) => flip,
    };
    let (at, time) = asked.measured(begin.take()?, end)?;
    Some(Event { at, kind: EventKind::Transition { slope, time } })
}

by_rule!(Transition);
