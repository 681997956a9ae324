//! A level between counts, and when the signal passes it.

use super::corner;
use super::number::{fixed, quotient, real};
use crate::sample::Number;
use crate::{Instant, Sample, Slope};

/// A level that need not be a whole number of counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Threshold<T> {
    over: T,
    under: T,
    level: f64,
    /// The level in 1/65536 of a count, for integer samples.
    fixed: i64,
}

impl<T: Sample> Threshold<T> {
    /// Makes a threshold; `None` if one side has no samples.
    #[inline(never)]
    pub(super) fn new(level: f64) -> Option<Self> {
        if let Number::Real(_) = T::MIN.number() {
            let nearest = T::wide_from_f64(level)?;
            let (is_over, is_under) = {
                let nearest = T::wide_to_f64(nearest);
                (nearest >= level, nearest <= level)
            };
            let over = if is_over { T::at_or_over(nearest) } else { T::over(nearest) }?;
            let under = if is_under { T::at_or_under(nearest) } else { T::under(nearest) }?;
            return Some(Self { over, under, level, fixed: 0 });
        }
        let fixed = fixed(level);
        let (floor, ceil) = (fixed >> 16, fixed.saturating_add(0xffff) >> 16);
        let over = T::at_or_over(T::wide_from_whole(ceil)?)?;
        let under = T::at_or_under(T::wide_from_whole(floor)?)?;
        Some(Self { over, under, level, fixed })
    }

    /// The smallest sample at or over the level.
    pub(super) fn over(&self) -> T {
        self.over
    }

    /// The largest sample at or under the level.
    pub(super) fn under(&self) -> T {
        self.under
    }

    /// The first sample value at or past the level, for a signal of that slope.
    #[inline]
    pub(super) fn first_past(&self, slope: Slope, samples: &[T]) -> Option<usize> {
        match slope {
            Slope::Rising => samples.iter().position(|&x| x >= self.over),
            Slope::Falling => samples.iter().position(|&x| x <= self.under),
        }
    }

    /// The last sample value at or past the level, for a signal of that slope.
    #[inline]
    pub(super) fn last_past(&self, slope: Slope, samples: &[T]) -> Option<usize> {
        match slope {
            Slope::Rising => samples.iter().rposition(|&x| x >= self.over),
            Slope::Falling => samples.iter().rposition(|&x| x <= self.under),
        }
    }

    /// The last sample value not yet at the level, for a signal of that slope.
    #[inline]
    pub(super) fn last_short_of(&self, slope: Slope, samples: &[T]) -> Option<usize> {
        match slope {
            Slope::Rising => samples.iter().rposition(|&x| x < self.over),
            Slope::Falling => samples.iter().rposition(|&x| x > self.under),
        }
    }

    /// Whether a sample is at or past the level, for a signal of that slope.
    #[inline]
    pub(super) fn is_past(&self, slope: Slope, x: T) -> bool {
        match slope {
            Slope::Rising => x >= self.over,
            Slope::Falling => x <= self.under,
        }
    }

    /// When the signal passes the level just before or at sample `index`, which is at or past it,
    /// while sample `index − 1` is not, or is just at it. Linear interpolation; where the signal is
    /// smooth around it, the cubic through four samples; next to a corner, the samples on its other
    /// side.
    #[inline(never)]
    pub(super) fn instant(&self, samples: &[T], index: usize) -> Instant {
        let before = |n: usize| index.checked_sub(n).and_then(|i| samples.get(i)).copied();
        let at = |lead| Instant { position: index as u64, lead };
        let (Some(previous), Some(&this)) = (before(1), samples.get(index)) else {
            return at(0);
        };
        let (first, last) = (before(2), samples.get(index.saturating_add(1)).copied());
        let around = first.zip(last).map(|(first, last)| (first.number(), last.number()));
        let (straight, smooth) = match (previous.number(), this.number()) {
            (Number::Real(previous), Number::Real(this)) => {
                let around = first.map(real).zip(last.map(real));
                real_lead(around, previous, this, self.level)
            }
            (Number::Narrow(previous), Number::Narrow(this)) => {
                let span = this - previous;
                let lead = linear_lead(this.into(), span.into(), self.fixed);
                let Some((Number::Narrow(first), Number::Narrow(last))) = around else {
                    return at(lead);
                };
                let bends = (last - 2 * this + previous, first - 2 * previous + this);
                (lead, bent_lead_narrow(lead, span, bends))
            }
            (Number::Wide(previous), Number::Wide(this)) => {
                let span = this - previous;
                let lead = linear_lead(this, span, self.fixed);
                let Some((Number::Wide(first), Number::Wide(last))) = around else {
                    return at(lead);
                };
                let bends = (last - 2 * this + previous, first - 2 * previous + this);
                (lead, bent_lead_wide(lead, span, bends))
            }
            _ => (0, None),
        };
        // What is smooth has no corner.
        at(smooth.or_else(|| self.beside_corner(samples, index)).unwrap_or(straight))
    }

    /// The lead if the signal has a corner just before or just after the passage.
    fn beside_corner(&self, samples: &[T], index: usize) -> Option<u32> {
        let around = |from: usize| samples.get(from..)?.first_chunk::<5>().copied();
        let after = index.checked_sub(2).and_then(around);
        let before = index.checked_sub(3).and_then(around).map(|mut before| {
            before.reverse();
            before
        });
        if let Some(lead) = after.and_then(|near| corner::corner(near, self.level)) {
            return Some(lead);
        }
        // The same backwards in time.
        if let Some(lead) = before.and_then(|near| corner::corner(near, self.level)) {
            return Some((1 << 16) - lead);
        }
        let charge =
            |near: Option<[T; 5]>, next: Option<&T>| corner::charge(near?, *next?, self.level);
        if let Some(lead) = charge(after, samples.get(index + 3)) {
            return Some(lead);
        }
        let next = index.checked_sub(4).and_then(|next| samples.get(next));
        Some((1 << 16) - charge(before, next)?)
    }
}

/// (this − level) / span in 1/65536, rounded down; the level in 1/65536.
#[inline]
fn linear_lead(this: i64, span: i64, level: i64) -> u32 {
    let part = ((this << 16) - level).unsigned_abs();
    quotient(part, span.unsigned_abs()).min(1 << 16) as u32
}

// With s the lead, y the four samples backwards in time and δ² their second differences at the
// inner two, the cubic through them passes the level where
//     s = linear + s(1 − s)/6 · ((2 − s)·δ²y₁ + (1 + s)·δ²y₂) / (y₂ − y₁)
// (Everett's formula up to second differences, which is the cubic itself). One step from the
// linear s leaves an error of the fourth order. The signal counts as smooth where both second
// differences are at most a quarter of the first: a sine of 13 or more samples a cycle is so at
// its middle; a corner is not, and there a cubic would swing.

macro_rules! bent_lead {
    ($name:ident, $word:ty) => {
        /// The linear lead, corrected for the bend at this sample and at the one before; `None` if
        /// the signal is not smooth.
        #[inline]
        fn $name(lead: u32, span: $word, (this, previous): ($word, $word)) -> Option<u32> {
            let quarter = span.unsigned_abs() / 4;
            if this.unsigned_abs() > quarter || previous.unsigned_abs() > quarter {
                return None;
            }
            // s in 1/1024 suffices for a small correction; then everything fits the word.
            let s = (lead >> 6) as $word;
            let bend = (2048 - s) * this + (1024 + s) * previous;
            // In 1/32768, below 1.
            let bend = (bend * 32).checked_div(-span).unwrap_or(0) as i32;
            let s = s as i32;
            let product = (s * (1024 - s) / 16) * bend;
            // Over 6 · 2^15, which small chips cannot divide by at once: exact, as the third of
            // less than 2^14 is.
            let size = (((product.unsigned_abs() >> 16) * 21_846) >> 16) as i32;
            let correction = if product < 0 { -size } else { size };
            Some(lead.saturating_add_signed(correction).min(1 << 16))
        }
    };
}

bent_lead!(bent_lead_narrow, i32);
bent_lead!(bent_lead_wide, i64);

/// The same for floating-point samples, if there is one more on either side: the linear lead, and
/// the corrected one where the signal is smooth.
fn real_lead(
    around: Option<(f64, f64)>,
    previous: f64,
    this: f64,
    level: f64,
) -> (u32, Option<u32>) {
    let span = this - previous;
    let lead = (this - level) / span;
    // The cast saturates, and turns 0/0 into 0.
    let parts = |lead: f64| ((lead * 65536.0) as u32).min(1 << 16);
    let smooth = around.and_then(|(first, last)| {
        let (a, b) = (last - 2.0 * this + previous, first - 2.0 * previous + this);
        let is_smooth =
            libm::fabs(a) <= libm::fabs(span) / 4.0 && libm::fabs(b) <= libm::fabs(span) / 4.0;
        let bend = ((2.0 - lead) * a + (1.0 + lead) * b) / -span;
        is_smooth.then(|| parts(lead + lead * (1.0 - lead) / 6.0 * bend))
    });
    (parts(lead), smooth)
}
