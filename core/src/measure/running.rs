//! Statistics across records: how a measured value varies.

use super::{Reason, Value};

/// The count, mean, standard deviation and extremes of values that arrive one by one.
///
/// By Welford's recurrence (Technometrics 4 (3), 1962): mean += (x − mean)/n, sum of squares += (x
/// − old mean)·(x − new mean). It keeps its precision when the values hardly vary. Values that a
/// record did not give are counted separately.
///
/// ```
/// use stillwave::measure::Running;
/// let mut frequency = Running::default();
/// for value in [Ok(50.0), Ok(50.2), Ok(49.8)] {
///     frequency.push(value);
/// }
/// assert_eq!((frequency.count(), frequency.mean()), (3, Ok(50.0)));
/// assert!((frequency.standard_deviation()? - 0.2).abs() < 1e-12);
/// assert_eq!((frequency.minimum(), frequency.maximum()), (Ok(49.8), Ok(50.2)));
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Running {
    count: u64,
    missing: u64,
    mean: f64,
    squares: f64,
    minimum: f64,
    maximum: f64,
}

impl Running {
    /// Adds the next value. A value that is not finite counts as missing.
    pub fn push(&mut self, value: Value) {
        let Some(x) = value.ok().filter(|x| x.is_finite()) else {
            self.missing = self.missing.saturating_add(1);
            return;
        };
        if self.count == 0 {
            (self.minimum, self.maximum) = (x, x);
        }
        self.count = self.count.saturating_add(1);
        self.minimum = self.minimum.min(x);
        self.maximum = self.maximum.max(x);
        let distance = x - self.mean;
        self.mean += distance / self.count as f64;
        self.squares += distance * (x - self.mean);
    }

    /// The number of values.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The number of records that did not give a value.
    pub fn missing(&self) -> u64 {
        self.missing
    }

    /// The mean of the values.
    ///
    /// # Errors
    /// [`Reason::Empty`] if there are none.
    pub fn mean(&self) -> Value {
        self.of_any(self.mean)
    }

    /// The standard deviation of the values, as an estimate from a sample: √(Σ(x − mean)²/(n − 1)).
    ///
    /// # Errors
    /// [`Reason::TooShort`] if there are fewer than two values.
    pub fn standard_deviation(&self) -> Value {
        if self.count < 2 {
            return Err(Reason::TooShort);
        }
        Ok(libm::sqrt(self.squares / (self.count - 1) as f64))
    }

    /// The smallest value.
    ///
    /// # Errors
    /// [`Reason::Empty`] if there are none.
    pub fn minimum(&self) -> Value {
        self.of_any(self.minimum)
    }

    /// The largest value.
    ///
    /// # Errors
    /// [`Reason::Empty`] if there are none.
    pub fn maximum(&self) -> Value {
        self.of_any(self.maximum)
    }

    fn of_any(&self, value: f64) -> Value {
        if self.count == 0 { Err(Reason::Empty) } else { Ok(value) }
    }
}
