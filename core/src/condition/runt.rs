//! Runt: a pulse that is not as high as it should be.
//!
//! ```text
//! high ─────╱▔╲───────────      positive: begins where the signal passes low,
//!          ╱   ╲     ╱╲         ends where it passes low − hysteresis, and
//! low ────╱─────╲───╱──╲──      fires there if it has not reached high
//! − hyst.╱───────╲─╱────•─
//!      _╱         ▔             negative: the mirror
//! ```

use super::timed::{Timed, by_rule};
use super::{Configuration, OneOrBoth, PulsePolarity, Relaxed, Setup, configuration};
use super::{Step, Thresholds};
use crate::compare::Flip;
use crate::{Band, Comparison, ConfigError, Event, EventKind, Level, Polarity, Sample, Slope};

configuration! {
    /// Fires at the end of a pulse that passes one level and does not reach another: [`Runt`].
    pub struct RuntConfig<T: Sample> {
        /// Whether the pulse is above or below its surroundings.
        pub polarity: PulsePolarity,
        /// The two levels.
        pub band: Band<T>,
        /// The widths that count; `None` for all widths.
        pub width: Option<Comparison>,
    }
}

impl<T: Sample> Configuration<T> for RuntConfig<T> {
    type Condition = OneOrBoth<Runt<T>>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        OneOrBoth::of_polarity(self.polarity, |polarity| Runt::new(polarity, self.band, self.width))
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        // In turn the level that it passes, and the one that it must not pass.
        let (low, high) = (self.band.lower(), self.band.upper());
        self.polarity.begins().each(|slope| {
            let (passed, avoided) = match slope {
                Slope::Rising => (low, high),
                Slope::Falling => (high, low),
            };
            each(slope, passed);
            each(slope, avoided);
        });
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed::timed(Setup::from(Self { width: None, ..*self }), self.width?))
    }
}

/// Fires at the end of a pulse that passes one level of a band and returns through it without
/// reaching the other.
///
/// With the band's hysteresis h, a positive runt is a positive pulse through the lower level, from
/// x ≥ low to x < low − h, with no sample x ≥ high. A negative runt is the mirror: from x ≤ high to
/// x > high + h, with no sample x ≤ low. The width is that of a [`Pulse`](crate::Pulse): from
/// crossing to crossing, in 1/65536 of a sample. A pulse that is already in progress when the
/// stream begins, or after a gap, never counts. (Runt pulse in IEEE Std 181-2011; from memory.)
///
/// ```
/// use stillwave::{Band, Block, Condition, EventKind, Polarity, Runt, Span};
/// let mut runt = Runt::new(Polarity::Positive, Band::<u8>::new(50, 150, 10)?, None)?;
/// let samples: [u8; 9] = [0, 200, 200, 0, 0, 100, 100, 0, 0];
/// let channels = [&samples[..]];
/// let event = runt.next(&Block::new(0, &channels)).unwrap();
/// // From half way up, at 50, to six tenths of the way down, at 40.
/// assert_eq!(event.at.samples(), 7.0 - f64::from(event.at.lead) / 65536.0);
/// assert_eq!(event.at.lead, 65536 * 4 / 10);
/// let width = Span::from_parts(65536 + 32768 + 39322);
/// assert_eq!(event.kind, EventKind::Runt { polarity: Polarity::Positive, width });
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Runt<T: Sample> {
    timed: Timed<Thresholds<T>>,
    width: Comparison,
}

impl<T: Sample> Runt<T> {
    /// Makes a condition for pulses that stay between the levels of `band`. With `width`, the width
    /// is compared; without it, every width counts.
    ///
    /// # Errors
    /// The errors of [`Band::new`] and [`Comparison::validated`].
    pub fn new(
        polarity: Polarity,
        band: Band<T>,
        width: Option<Comparison>,
    ) -> Result<Self, ConfigError> {
        let slope = match polarity {
            Polarity::Positive => Slope::Rising,
            Polarity::Negative => Slope::Falling,
        };
        let width = width.unwrap_or(Comparison::ANY).validated()?;
        Ok(Self { timed: Timed::new(Thresholds::new(slope, band)?), width })
    }

    /// The rule that decides whether a step is an event.
    #[inline]
    fn rule(&self) -> impl Fn(&mut Option<Flip<T>>, Step<T>) -> Option<Event> + use<T> {
        let (polarity, asked) = (self.polarity(), self.width);
        move |begin, step| event(polarity, asked, begin, step)
    }

    fn polarity(&self) -> Polarity {
        match self.timed.steps.slope() {
            Slope::Rising => Polarity::Positive,
            Slope::Falling => Polarity::Negative,
        }
    }
}

/// The event, if `step` ends the runt that an earlier step began.
#[inline]
fn event<T: Sample>(
    polarity: Polarity,
    asked: Comparison,
    begin: &mut Option<Flip<T>>,
    step: Step<T>,
) -> Option<Event> {
    let end = match step {
        Step::First(flip) => {
            *begin = Some(flip);
            return None;
        }
        Step::Second(_) => {
            *begin = None;
            return None;
        }
        Step::Back(flip) => flip,
    };
    let (at, width) = asked.measured(begin.take()?, end)?;
    Some(Event { at, kind: EventKind::Runt { polarity, width } })
}

by_rule!(Runt);
