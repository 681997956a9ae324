//! The latch with two bounds: whether the signal is inside a band.

use super::Band;
use crate::{Block, ConfigError, Instant, Sample};

/// The side of a band that a signal is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Inside,
    Outside,
}

/// A passage: the signal has entered or left the band.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Passage {
    /// The side of the band from here on.
    pub(crate) into: Side,
    pub(crate) at: Instant,
}

/// Finds where a signal leaves a band, and where it has come back far enough inside to leave it
/// again.
///
/// With the levels low and high and the hysteresis h, the signal is
/// - outside from the first sample x < low or x > high on (it leaves where it passes that level),
/// - inside from the first sample low + h ≤ x ≤ high − h on (it enters where it passes low + h, if
///   it comes from below, or high − h).
///
/// As with a [`Comparator`](super::Comparator), the start of the stream and the return after a gap
/// are not passages, and samples that are not finite change nothing.
///
/// Two comparators, one per level, would not do: a signal that leaves at the top and comes back
/// between low and low + h is still outside.
#[derive(Clone, Debug)]
pub(crate) struct BandComparator<T: Sample> {
    /// Anything that is not from `low` to `high` is outside.
    low: T,
    high: T,
    /// Inside is from `inner_low` to `inner_high`.
    inner_low: T,
    inner_high: T,
    /// Whether no sample can be inside.
    unreachable: bool,
    channel: u8,
    side: Option<Side>,
    /// The position of the next sample to look at, and the sample before it.
    next: u64,
    previous: Option<T>,
}

impl<T: Sample> BandComparator<T> {
    /// # Errors
    /// The errors of [`Band::new`]; a hysteresis that leaves no inside.
    pub(crate) fn new(band: Band<T>) -> Result<Self, ConfigError> {
        let Band { low, high, hysteresis, channel } = band.validated()?;
        let inner_low = T::saturating_add(low, hysteresis);
        let inner_high = T::saturating_sub(high, hysteresis);
        if inner_low > inner_high {
            let value = T::wide_to_f64(hysteresis);
            return Err(ConfigError::new("hysteresis", value, "at most half the band"));
        }
        let inner = (T::at_or_over(inner_low), T::at_or_under(inner_high));
        Ok(Self {
            low: T::at_or_over(low).unwrap_or(T::MAX),
            high: T::at_or_under(high).unwrap_or(T::MIN),
            inner_low: inner.0.unwrap_or(T::MAX),
            inner_high: inner.1.unwrap_or(T::MIN),
            unreachable: inner.0.is_none() || inner.1.is_none(),
            channel,
            side: None,
            next: 0,
            previous: None,
        })
    }

    /// Forgets the stream: the comparator is as new.
    pub(crate) fn reset(&mut self) {
        self.gap();
        self.next = 0;
    }

    /// Reports that samples were lost: the side that the signal is on is no longer known.
    #[inline]
    pub(crate) fn gap(&mut self) {
        self.side = None;
        self.previous = None;
    }

    /// The next passage in `block`, or `None` at its end, as in
    /// [`Comparator::next`](super::Comparator::next).
    #[inline]
    pub(crate) fn next(&mut self, block: &Block<'_, T>) -> Option<Passage> {
        let samples = block.channel(usize::from(self.channel));
        let mut index = if let Some(index) = self.next.checked_sub(block.start()) {
            index as usize
        } else {
            // The stream was joined here: the sample before is not known.
            self.previous = None;
            0
        };
        if self.unreachable {
            index = samples.len();
        }
        while index < samples.len() {
            let rest = samples.get(index..).unwrap_or(&[]);
            let found = index
                + match self.side {
                    Some(Side::Inside) => T::before_outside(rest, self.low, self.high),
                    Some(Side::Outside) => T::before_inside(rest, self.inner_low, self.inner_high),
                    None => self.before_any(rest),
                };
            let Some(&this) = samples.get(found) else { break };
            let into = if self.is_inside(this) { Side::Inside } else { Side::Outside };
            let known = self.side.replace(into).is_some();
            index = found + 1;
            if known {
                self.next = block.start() + index as u64;
                let previous = match found.checked_sub(1) {
                    Some(before) => samples.get(before).copied(),
                    None => self.previous,
                };
                let lead = previous.map_or(0, |p| T::lead(p, this, self.passed(into, p, this)));
                return Some(Passage { into, at: Instant { position: self.next - 1, lead } });
            }
        }
        // Also where the last sample was itself a passage: the next block begins after it.
        if block.end() >= self.next {
            self.next = block.end();
            self.previous = samples.last().copied().or(self.previous);
        }
        None
    }

    /// The number of samples before the first one that is on a side.
    #[cold]
    fn before_any(&self, samples: &[T]) -> usize {
        let somewhere = |&x: &T| self.is_inside(x) | self.is_outside(x);
        samples.iter().position(somewhere).unwrap_or(samples.len())
    }

    #[inline]
    fn is_inside(&self, x: T) -> bool {
        (x >= self.inner_low) & (x <= self.inner_high)
    }

    /// Whether a sample is outside; one that is not finite is not.
    #[inline]
    fn is_outside(&self, x: T) -> bool {
        ((x < self.low) & (x >= T::MIN)) | ((x > self.high) & (x <= T::MAX))
    }

    /// The level that is passed from `previous` to `this`, which is on side `into`.
    #[inline]
    fn passed(&self, into: Side, previous: T, this: T) -> T {
        match into {
            Side::Outside if this > self.high => self.high,
            Side::Outside => self.low,
            Side::Inside if previous > self.inner_high => self.inner_high,
            Side::Inside => self.inner_low,
        }
    }
}
