//! What every configuration of a condition can do.

use core::fmt::Debug;

use super::Relaxed;
use crate::{Condition, ConfigError, Level, Sample, Slope};

/// The configuration of a condition: a plain value, which is checked when the condition is made.
///
/// ```
/// use stillwave::{Configuration, EdgeConfig, EdgeSlope, Level, Slope};
/// let edge = EdgeConfig { slope: EdgeSlope::Either, level: Level::<u16>::new(2048, 40)? };
/// let mut slopes = Vec::new();
/// edge.levels(&mut |slope, _| slopes.push(slope));
/// assert_eq!(slopes, [Slope::Rising, Slope::Falling]);
/// let _condition = edge.build()?;
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
pub trait Configuration<T: Sample>: Copy {
    /// What is made from it.
    type Condition: Condition<Sample = T> + Clone + Debug;

    /// Makes the condition.
    ///
    /// # Errors
    /// The errors of the condition's own constructor.
    fn build(self) -> Result<Self::Condition, ConfigError>;

    /// Calls `each` with the levels that the condition looks at, and the direction in which it waits
    /// for the signal to pass each. A level can come more than once. For a runt, every other level is
    /// one that the signal must not pass; for [`Qualified`](crate::Qualified), the last level is that
    /// of the gate; the `reset` of a sequence is left out.
    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>));

    /// The condition without its bound on time or on what was received, without its gate and, for a
    /// count, without the count; `None` if there is nothing to leave out. [`near`](crate::near) finds
    /// near misses by it.
    fn relaxed(&self) -> Option<Relaxed<T>>;
}

/// Gives a configuration what all of them derive.
macro_rules! configuration {
    ($($item:tt)*) => {
        #[derive(Clone, Copy, Debug, PartialEq)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        #[cfg_attr(
            feature = "serde",
            serde(bound(
                serialize = "T::Wide: serde::Serialize",
                deserialize = "T::Wide: serde::Deserialize<'de>"
            ))
        )]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        $($item)*
    };
}
pub(super) use configuration;
