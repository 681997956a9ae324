//! Times that missed a bound.

use heapless::Vec;

use crate::{Comparison, ConfigError, Instant, Span};

/// The number of nearest misses that are kept.
pub const NEAREST: usize = 8;

/// A time that came close to passing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct TimeMiss {
    /// The instant at which the time ended.
    pub at: Instant,
    /// The length of the time.
    pub time: Span,
    /// The distance from a time that passes.
    pub lacked: Span,
}

/// Counts how measured times compare with a bound, and keeps the closest misses.
///
/// ```
/// use stillwave::near::TimeMisses;
/// use stillwave::{Comparison, Instant, Span};
/// let mut misses = TimeMisses::new(Comparison::LongerThan(Span::samples(12)))?;
/// for (at, width) in [(20, 9), (40, 11), (60, 14)] {
///     misses.see(Instant::at(at), Span::samples(width));
/// }
/// assert_eq!((misses.seen(), misses.held(), misses.too_short()), (3, 1, 2));
/// assert_eq!(misses.nearest()[0].at.position, 40);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct TimeMisses {
    asked: Comparison,
    held: u64,
    too_short: u64,
    too_long: u64,
    nearest: Vec<TimeMiss, NEAREST>,
}

impl TimeMisses {
    /// Makes a count of times that should pass `asked`.
    ///
    /// # Errors
    /// The errors of [`Comparison::validated`].
    pub fn new(asked: Comparison) -> Result<Self, ConfigError> {
        let asked = asked.validated()?;
        Ok(Self { asked, held: 0, too_short: 0, too_long: 0, nearest: Vec::new() })
    }

    /// Counts a time that ended at an instant.
    pub fn see(&mut self, at: Instant, time: Span) {
        let Some((is_short, lacked)) = self.asked.lack(time) else {
            self.held += 1;
            return;
        };
        if is_short {
            self.too_short += 1;
        } else {
            self.too_long += 1;
        }
        // From its place on, each moves on by one; the last goes where there is no room.
        let (mut moving, mut found) = (TimeMiss { at, time, lacked }, false);
        for kept in &mut self.nearest {
            found |= moving.lacked < kept.lacked;
            if found {
                core::mem::swap(kept, &mut moving);
            }
        }
        let _ = self.nearest.push(moving);
    }

    /// The comparison.
    pub fn asked(&self) -> Comparison {
        self.asked
    }

    /// The number of times seen.
    pub fn seen(&self) -> u64 {
        self.held + self.too_short + self.too_long
    }

    /// The number of times that passed.
    pub fn held(&self) -> u64 {
        self.held
    }

    /// The number of times that would have to be longer. If times in a range do not pass, this
    /// counts those nearer to its upper end.
    pub fn too_short(&self) -> u64 {
        self.too_short
    }

    /// The number of times that would have to be shorter.
    pub fn too_long(&self) -> u64 {
        self.too_long
    }

    /// The closest misses, closest first; of equal ones, the earlier first.
    pub fn nearest(&self) -> &[TimeMiss] {
        &self.nearest
    }
}
