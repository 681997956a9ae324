//! Reasons why a measurement has no value.

use core::fmt;

/// A measured value, or the reason why the record does not give one.
pub type Value = Result<f64, Reason>;

/// The reason why a record does not give a value. A measurement never gives a wrong number instead.
///
/// ```
/// use stillwave::measure::{Reason, measure};
/// let still = measure(&[7_u8; 100]);
/// assert_eq!((still.mean, still.timing.period), (Ok(7.0), Err(Reason::OneLevel)));
/// assert_eq!(Reason::OneLevel.to_string(), "one level only");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Reason {
    /// There are no samples.
    Empty,
    /// A sample is not a number, or is infinite.
    NotFinite,
    /// Samples are at an end code of the converter: the voltage may have been beyond it.
    Clipped,
    /// The samples do not show two separate levels.
    OneLevel,
    /// There is no complete transition of the requested kind.
    NoTransition,
    /// There are transitions, but no complete cycle or pulse.
    NotEnoughCycles,
    /// There is no sample within a transition: it is faster than the samples can show.
    TooFast,
    /// The signal is not near its final level at the end of the settling time.
    NotSettled,
    /// There are too few samples for this measurement.
    TooShort,
    /// A search for the best value found none.
    NotConverged,
    /// The value is a ratio to something that is 0.
    NoReference,
    /// No tone stands out from the noise.
    NoTone,
    /// The value may be noise alone: nothing stands out.
    BelowNoise,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Empty => "no sample",
            Self::NotFinite => "samples that are not finite",
            Self::Clipped => "clipped",
            Self::OneLevel => "one level only",
            Self::NoTransition => "no complete transition",
            Self::NotEnoughCycles => "no complete cycle",
            Self::TooFast => "faster than the samples",
            Self::NotSettled => "not settled",
            Self::TooShort => "too few samples",
            Self::NotConverged => "no solution found",
            Self::NoReference => "a ratio to 0",
            Self::NoTone => "no tone above the noise",
            Self::BelowNoise => "below the noise",
        })
    }
}

impl core::error::Error for Reason {}
