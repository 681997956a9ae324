//! Errors in a configuration.

use core::fmt;

/// The error for a configuration value outside its range.
///
/// ```
/// use stillwave::Level;
/// let error = Level::<u16>::new(2048, -1).unwrap_err();
/// assert_eq!(error.to_string(), "hysteresis is -1: it must be 0 or more");
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ConfigError {
    /// The name of the parameter, which is that of its field.
    pub parameter: &'static str,
    /// The value it was given.
    pub value: f64,
    /// What it must be, as the end of a sentence: "it must be …".
    pub range: &'static str,
}

impl ConfigError {
    pub(crate) const fn new(parameter: &'static str, value: f64, range: &'static str) -> Self {
        Self { parameter, value, range }
    }
}

impl fmt::Display for ConfigError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is {}: it must be {}", self.parameter, self.value, self.range)
    }
}

impl core::error::Error for ConfigError {}
