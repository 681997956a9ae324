//! Where a noisy signal passes its middle: by sums of samples, which have less noise.

use super::histogram::Binning;
use super::number::{fixed, quotient, real};
use super::transition::Found;
use crate::{Instant, Sample, Slope};

/// Finds where sums of samples pass from one side of a level to the other.
///
/// Works in keys of a [`Binning`]; an outside sample counts like the one before it.
#[derive(Clone, Debug)]
pub(super) struct Smooth<'a, T: Sample> {
    samples: &'a [T],
    within: Binning<T>,
    /// The number of samples in a sum.
    window: u32,
    /// The index of the next sample to add.
    next: usize,
    sum: u64,
    /// The key added last, and the key removed last.
    added: u32,
    removed: u32,
    /// The level, and how far beyond it the other side begins; sums are in 1/65536.
    middle: i64,
    reach: i64,
    /// How far the last sum is over the level.
    last: i64,
    /// The side the sum is on, where that is certain.
    is_high: Option<bool>,
    /// Whether instants are taken where the other side begins, instead of at the level.
    beside: bool,
    /// When the level was passed last: the sample after it, and 1/65536 back from there.
    passed: (usize, u32),
}

impl<'a, T: Sample> Smooth<'a, T> {
    pub(super) fn new(
        samples: &'a [T],
        within: Binning<T>,
        window: u32,
        middle: f64,
        hysteresis: f64,
    ) -> Self {
        let keys = within.keys_a_unit();
        // Levels lie within 2^32 keys, and sums have at most 64 of them.
        let scaled =
            |keys: f64| fixed(keys).clamp(-(1 << 50), 1 << 50).saturating_mul(i64::from(window));
        // As if one before the first were like it.
        let first = samples.iter().find_map(|&x| within.key_within(x)).unwrap_or(0);
        Self {
            samples,
            window,
            next: 0,
            sum: 0,
            added: first,
            removed: first,
            middle: scaled((middle - real(within.minimum())) * keys),
            reach: scaled(hysteresis * keys).max(1),
            last: 0,
            is_high: None,
            beside: false,
            passed: (0, 0),
            within,
        }
    }

    /// For a signal that rests near the level: takes instants beyond it, by the hysteresis.
    pub(super) fn beside_middle(self) -> Self {
        Self { beside: true, ..self }
    }

    pub(super) fn next(&mut self) -> Option<Found> {
        let window = self.window as usize;
        loop {
            let index = self.next;
            let &x = self.samples.get(index)?;
            self.next += 1;
            self.added = self.within.key_within(x).unwrap_or(self.added);
            self.sum = self.sum.wrapping_add(self.added.into());
            if let Some(oldest) = index.checked_sub(window)
                && let Some(&x) = self.samples.get(oldest)
            {
                self.removed = self.within.key_within(x).unwrap_or(self.removed);
                self.sum = self.sum.wrapping_sub(self.removed.into());
            }
            if self.next < window {
                continue;
            }
            let over = ((self.sum << 16) as i64).saturating_sub(self.middle);
            let last = core::mem::replace(&mut self.last, over);
            if (last < 0) != (over < 0) {
                self.passed = (index, lead(last, over));
            }
            if over.saturating_abs() < self.reach {
                continue;
            }
            let is_high = over > 0;
            if self.beside && self.is_high != Some(is_high) {
                let reach = if is_high { self.reach } else { -self.reach };
                self.passed = (index, lead(last - reach, over - reach));
            }
            if self.is_high.replace(is_high).is_some_and(|before| before != is_high) {
                return Some(Found {
                    slope: if is_high { Slope::Rising } else { Slope::Falling },
                    index,
                    mid: Some(self.instant()),
                });
            }
        }
    }

    /// When the level was passed last. A sum belongs to the middle of its samples.
    fn instant(&self) -> Instant {
        let (index, lead) = self.passed;
        let back = u64::from(lead) + (u64::from(self.window - 1) << 15);
        let parts = ((index as u64) << 16).saturating_sub(back);
        let position = parts.div_ceil(1 << 16);
        Instant { position, lead: ((position << 16) - parts) as u32 }
    }
}

/// The part of the way from one sum to the next that is past the level, in 1/65536.
fn lead(last: i64, over: i64) -> u32 {
    let (part, whole) = (over.unsigned_abs(), over.abs_diff(last));
    // To 32 bits, which keeps enough digits.
    let shift = 32_u32.saturating_sub(whole.leading_zeros());
    quotient((part >> shift) << 16, (whole >> shift).max(1)).min(1 << 16) as u32
}
