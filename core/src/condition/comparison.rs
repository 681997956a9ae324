//! Comparison of a measured time with one or two bounds.

use crate::compare::Flip;
use crate::{ConfigError, Instant, Sample, Span};

/// Compares a measured time with one or two bounds: which times make an event.
///
/// Times are compared in 1/65536 of a sample.
///
/// ```
/// use stillwave::{Comparison, Span};
/// let servo = Comparison::within(Span::samples(1000), Span::samples(2000))?;
/// assert!(servo.holds(Span::samples(1000)) && servo.holds(Span::samples(2000)));
/// assert!(!servo.holds(Span::from_parts(2000 * 65536 + 1)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Comparison {
    /// Times shorter than the bound (<).
    ShorterThan(Span),
    /// Times longer than the bound (>).
    LongerThan(Span),
    /// Times from the first bound to the second, both included.
    Within(Span, Span),
    /// Times shorter than the first bound or longer than the second.
    Outside(Span, Span),
}

impl Comparison {
    /// All times.
    pub const ANY: Self = Self::Within(Span::ZERO, Span::MAX);

    /// Makes the comparison for times from `shortest` to `longest`, both included.
    ///
    /// # Errors
    /// `longest` is below `shortest`.
    pub fn within(shortest: Span, longest: Span) -> Result<Self, ConfigError> {
        Self::Within(shortest, longest).validated()
    }

    /// Makes the comparison for times shorter than `shortest` or longer than `longest`.
    ///
    /// # Errors
    /// `longest` is below `shortest`.
    pub fn outside(shortest: Span, longest: Span) -> Result<Self, ConfigError> {
        Self::Outside(shortest, longest).validated()
    }

    /// Returns the comparison unchanged if its bounds are in order.
    ///
    /// # Errors
    /// The upper bound is below the lower one.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self {
            Self::Within(shortest, longest) | Self::Outside(shortest, longest)
                if longest < shortest =>
            {
                let value = longest.to_samples();
                Err(ConfigError::new("upper bound", value, "at or over the lower bound"))
            }
            _ => Ok(self),
        }
    }

    /// Whether `time` passes the comparison.
    #[inline]
    pub fn holds(self, time: Span) -> bool {
        match self {
            Self::ShorterThan(bound) => time < bound,
            Self::LongerThan(bound) => time > bound,
            Self::Within(shortest, longest) => shortest <= time && time <= longest,
            Self::Outside(shortest, longest) => time < shortest || longest < time,
        }
    }

    /// How much `time` misses the comparison by, and whether it is too short (`true`) or too long;
    /// `None` if it passes. The miss is measured to the nearest time that passes.
    pub fn lack(self, time: Span) -> Option<(bool, Span)> {
        let parts = |a: Span, b: Span| a.parts().saturating_sub(b.parts());
        let (is_short, lacked) = match self {
            _ if self.holds(time) => return None,
            // The bound itself does not count.
            Self::ShorterThan(bound) => (false, parts(time, bound).saturating_add(1)),
            Self::LongerThan(bound) => (true, parts(bound, time).saturating_add(1)),
            Self::Within(shortest, _) if time < shortest => (true, parts(shortest, time)),
            Self::Within(_, longest) => (false, parts(time, longest)),
            Self::Outside(shortest, longest) => {
                let (down, up) = (parts(time, shortest), parts(longest, time));
                (up < down, down.min(up).saturating_add(1))
            }
        };
        Some((is_short, Span::from_parts(lacked)))
    }

    /// The instant of `end` and the time from `begin` to it, if that time passes the comparison.
    #[inline]
    pub(crate) fn measured<T: Sample>(
        self,
        begin: Flip<T>,
        end: Flip<T>,
    ) -> Option<(Instant, Span)> {
        // Both crossings lie up to a sample before their positions. Most times are told by that,
        // and need no closer look.
        let samples = end.position.saturating_sub(begin.position);
        let (shortest, longest) = (samples.saturating_sub(1), samples.saturating_add(1));
        if !self.may_hold(Span::samples(shortest), Span::samples(longest)) {
            return None;
        }
        let at = end.instant();
        let time = at.since(begin.instant());
        self.holds(time).then_some((at, time))
    }

    /// Whether any time from `shortest` to `longest` passes the comparison.
    #[inline]
    fn may_hold(self, shortest: Span, longest: Span) -> bool {
        match self {
            Self::ShorterThan(bound) => shortest < bound,
            Self::LongerThan(bound) => longest > bound,
            Self::Within(from, to) => from <= longest && shortest <= to,
            Self::Outside(from, to) => shortest < from || to < longest,
        }
    }
}
