//! A value and the range it must be in.

use crate::ConfigError;
use crate::measure::{Reason, Value};

/// The range that a measured value must be in, with both ends included; an end may be open.
///
/// ```
/// use stillwave::expect::Limit;
/// use stillwave::measure::Reason;
/// let mains = Limit::nominal(50.0, 0.5)?;
/// assert!(mains.check(Ok(50.2)).passed);
/// assert_eq!(mains.check(Ok(51.0)).margin, Ok(-0.5));
/// // What could not be measured is not as expected.
/// assert!(!mains.check(Err(Reason::NotEnoughCycles)).passed);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Limit {
    /// The smallest value that passes; `None` if there is no lower limit.
    pub least: Option<f64>,
    /// The largest value that passes; `None` if there is no upper limit.
    pub greatest: Option<f64>,
}

/// The result of a check, with the margin to failing it.
///
/// ```
/// use stillwave::expect::Limit;
/// let verdict = Limit::range(4.75, 5.25)?.check(Ok(5.0));
/// assert_eq!((verdict.passed, verdict.margin), (true, Ok(0.25)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Verdict {
    /// Whether the value was in the range.
    pub passed: bool,
    /// The distance to the nearer end of the range, in the value's unit; negative if the value is
    /// outside. If there was no value, the reason.
    pub margin: Value,
}

impl Limit {
    /// Makes the range around a nominal value with the same tolerance on both sides.
    ///
    /// # Errors
    /// A value that is not finite; a tolerance under 0.
    pub fn nominal(nominal: f64, tolerance: f64) -> Result<Self, ConfigError> {
        if !(tolerance >= 0.0 && tolerance.is_finite()) {
            return Err(ConfigError::new("tolerance", tolerance, "0 or more"));
        }
        Self::range(nominal - tolerance, nominal + tolerance)
    }

    /// Makes the range from `least` to `greatest`, both included.
    ///
    /// # Errors
    /// Values that are not finite, or not in order.
    pub fn range(least: f64, greatest: f64) -> Result<Self, ConfigError> {
        Self { least: Some(least), greatest: Some(greatest) }.validated()
    }

    /// Makes the range of `least` or more.
    ///
    /// # Errors
    /// A value that is not finite.
    pub fn at_least(least: f64) -> Result<Self, ConfigError> {
        Self { least: Some(least), greatest: None }.validated()
    }

    /// Makes the range of `greatest` or less.
    ///
    /// # Errors
    /// A value that is not finite.
    pub fn at_most(greatest: f64) -> Result<Self, ConfigError> {
        Self { least: None, greatest: Some(greatest) }.validated()
    }

    /// Returns the limit unchanged if its values are in range.
    ///
    /// # Errors
    /// Values that are not finite, or not in order; no value at all.
    pub fn validated(self) -> Result<Self, ConfigError> {
        if let Some(least) = self.least
            && !least.is_finite()
        {
            return Err(ConfigError::new("least", least, "a finite number"));
        }
        match (self.least, self.greatest) {
            (_, Some(greatest)) if !greatest.is_finite() => {
                Err(ConfigError::new("greatest", greatest, "a finite number"))
            }
            (Some(least), Some(greatest)) if least > greatest => {
                Err(ConfigError::new("greatest", greatest, "least or more"))
            }
            (None, None) => Err(ConfigError::new("least", f64::NAN, "given, or greatest")),
            _ => Ok(self),
        }
    }

    /// Checks a measured value. A value that is not a finite number does not pass.
    pub fn check(&self, value: Value) -> Verdict {
        let margin = value.and_then(|value| {
            if !value.is_finite() {
                return Err(Reason::NotFinite);
            }
            let over = self.least.map_or(f64::INFINITY, |least| value - least);
            let under = self.greatest.map_or(f64::INFINITY, |greatest| greatest - value);
            Ok(over.min(under))
        });
        Verdict { passed: margin.is_ok_and(|margin| margin >= 0.0), margin }
    }
}
