//! The smallest and the largest of many samples.

use crate::Sample;
use crate::sample::Number;

/// The extremes so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extremes<T> {
    pub(super) minimum: T,
    pub(super) maximum: T,
    /// Maximum minus minimum; only for chips that use it.
    range: u32,
}

impl<T: Sample> Extremes<T> {
    pub(super) fn of_one(x: T) -> Self {
        Self { minimum: x, maximum: x, range: 0 }
    }

    /// Adds one sample. Samples that are not finite change nothing.
    #[inline]
    pub(super) fn add(&mut self, x: T) {
        if cfg!(vectors) {
            // Becomes vectors.
            self.minimum = if x < self.minimum { x } else { self.minimum };
            self.maximum = if x > self.maximum { x } else { self.maximum };
        } else {
            self.add_branching(x);
        }
    }

    /// Without vectors: one comparison for both extremes, since new ones are rare.
    #[inline]
    fn add_branching(&mut self, x: T) {
        let is_within = match (self.minimum.number(), x.number()) {
            (Number::Narrow(minimum), Number::Narrow(x)) => {
                x.wrapping_sub(minimum) as u32 <= self.range
            }
            _ => self.minimum <= x && x <= self.maximum,
        };
        if is_within {
            return;
        }
        self.minimum = if x < self.minimum { x } else { self.minimum };
        self.maximum = if x > self.maximum { x } else { self.maximum };
        if let (Number::Narrow(a), Number::Narrow(b)) =
            (self.minimum.number(), self.maximum.number())
        {
            self.range = b.wrapping_sub(a) as u32;
        }
    }
}
