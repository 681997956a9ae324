//! Checks of a signal against an expectation.
//!
//! A [`Limit`] checks a measured value, a [`Mask`] checks the samples around the trigger. Both
//! report the margin by which the check passed or failed, so that a signal that only just passes is
//! visible. They need no heap and cannot panic, so a board may test itself with them.
//!
//! ```
//! use stillwave::expect::{Limit, Mask, MaskPoint};
//! use stillwave::measure::measure;
//!
//! # fn main() -> Result<(), stillwave::ConfigError> {
//! let pulse: Vec<u16> = (0..100).map(|i| if i % 50 < 20 { 3000 } else { 500 }).collect();
//! let high = Limit::nominal(3000.0, 50.0)?.check(measure(&pulse).high);
//! assert_eq!((high.passed, high.margin), (true, Ok(50.0)));
//!
//! // At most 3100 for 20 samples, then at most 600.
//! let upper = [(0.0, 3100), (20.0, 3100), (20.0, 600), (49.0, 600)];
//! let upper = upper.map(|(time, level)| MaskPoint::at_samples(time, level).unwrap());
//! let mask = Mask::<u16>::new(&upper, &[])?;
//! let found = mask.test(&pulse, 0);
//! assert!(found.passed());
//! assert_eq!(found.margin, Ok(100.0));
//! # Ok(())
//! # }
//! ```

mod bound;
mod limit;
mod mask;
mod mask_test;

pub use limit::{Limit, Verdict};
pub use mask::{Mask, MaskPoint};
pub use mask_test::{MaskFault, MaskSide, MaskTest, MaskVerdict};

#[cfg(test)]
mod tests;
