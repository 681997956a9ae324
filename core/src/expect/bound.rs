//! One bound of a mask, followed from sample to sample.

use super::MaskPoint;
use crate::sample::Number;
use crate::{PARTS_PER_SAMPLE, Sample};

/// The side of the line that a signal must stay on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Under,
    Over,
}

impl Side {
    #[inline]
    fn margin<M: core::ops::Sub<Output = M>>(self, bound: M, x: M) -> M {
        match self {
            Self::Under => bound - x,
            Self::Over => x - bound,
        }
    }
}

/// A bound at the time of one sample; it advances with the samples.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bound<'a, T: Sample> {
    /// The points from the beginning of the present segment on.
    points: &'a [MaskPoint<T::Wide>],
    side: Side,
    time: i64,
    line: Line,
}

/// The level of a segment at a sample.
#[derive(Clone, Copy, Debug)]
enum Line {
    /// Before the first or after the last point: there is no bound.
    None,
    Whole(Whole),
    Real,
}

/// A line that rises by an exact fraction per sample: its level is `level + rest/length`.
#[derive(Clone, Copy, Debug)]
struct Whole {
    level: i64,
    rest: i64,
    /// The amount that is added per sample.
    step: i64,
    step_rest: i64,
    length: i64,
}

impl<'a, T: Sample> Bound<'a, T> {
    pub(super) fn upper(points: &'a [MaskPoint<T::Wide>], time: i64) -> Self {
        Self::new(points, Side::Under, time)
    }

    pub(super) fn lower(points: &'a [MaskPoint<T::Wide>], time: i64) -> Self {
        Self::new(points, Side::Over, time)
    }

    fn new(points: &'a [MaskPoint<T::Wide>], side: Side, time: i64) -> Self {
        let mut bound = Self { points, side, time, line: Line::None };
        bound.find();
        bound
    }

    /// Moves on to the next sample.
    #[inline]
    pub(super) fn advance(&mut self) {
        self.time = self.time.saturating_add(PARTS_PER_SAMPLE as i64);
        match (&mut self.line, self.points) {
            // Times are in order, so this one lies behind the first point.
            (Line::Whole(whole), [_, end, ..]) if self.time < end.time => whole.advance(),
            (Line::Real, [_, end, ..]) if self.time < end.time => {}
            _ => self.find(),
        }
    }

    /// Finds the segment at the present time, and the level there.
    #[inline(never)]
    fn find(&mut self) {
        self.line = Line::None;
        // The last point at or before the time begins the stretch.
        while let [_, next, ..] = self.points
            && next.time <= self.time
            && let [_, rest @ ..] = self.points
        {
            self.points = rest;
        }
        let (from, to) = match self.points {
            [from, ..] if self.time < from.time => return,
            [from, to, ..] => (from, to),
            // The end of the last stretch belongs to it.
            [last] if self.time == last.time => (last, last),
            _ => return,
        };
        self.line = match (T::wide_number(from.level), T::wide_number(to.level)) {
            (Number::Real(_), _) | (_, Number::Real(_)) => Line::Real,
            (a, b) => {
                Line::Whole(Whole::new((a.whole(), from.time), (b.whole(), to.time), self.time))
            }
        };
    }

    /// How far an integer sample is within the bound; negative if it is beyond. `None` if there is
    /// no bound.
    #[inline]
    pub(super) fn whole_margin(&self, x: i64) -> Option<i64> {
        match self.line {
            Line::Whole(whole) => Some(self.side.margin(whole.within(self.side), x)),
            Line::None | Line::Real => None,
        }
    }

    /// The same for floating-point samples.
    #[inline]
    pub(super) fn real_margin(&self, x: f64) -> Option<f64> {
        Some(self.side.margin(self.limit()?, x))
    }

    /// The bound at the present time; for integers, the last whole number within it.
    pub(super) fn limit(&self) -> Option<f64> {
        match self.line {
            Line::None => None,
            Line::Whole(whole) => Some(whole.within(self.side) as f64),
            Line::Real => {
                let from = self.points.first()?;
                let level = T::wide_to_f64(from.level);
                let Some(to) = self.points.get(1) else { return Some(level) };
                let part = (self.time - from.time) as f64 / (to.time - from.time) as f64;
                Some(level + (T::wide_to_f64(to.level) - level) * part)
            }
        }
    }
}

impl Whole {
    /// The line from one (level, time) to another, at a time from the first until the second.
    fn new((from, begin): (i64, i64), (to, end): (i64, i64), time: i64) -> Self {
        let length = (end - begin).max(1);
        let rise = to - from;
        let product = i128::from(rise) * i128::from(time - begin);
        let wide = i128::from(length);
        // Short of a division by nothing, which `max` excludes.
        let level = product.checked_div_euclid(wide).unwrap_or(0);
        let rest = product - level * wide;
        let a_sample = rise.saturating_mul(PARTS_PER_SAMPLE as i64);
        let step = a_sample.checked_div_euclid(length).unwrap_or(0);
        Self {
            level: from + level as i64,
            rest: rest as i64,
            step,
            step_rest: a_sample - step * length,
            length,
        }
    }

    #[inline]
    fn advance(&mut self) {
        self.level = self.level.wrapping_add(self.step);
        self.rest += self.step_rest;
        if self.rest >= self.length {
            self.rest -= self.length;
            self.level = self.level.wrapping_add(1);
        }
    }

    /// The last whole number within the bound.
    #[inline]
    fn within(&self, side: Side) -> i64 {
        match side {
            Side::Under => self.level,
            Side::Over => self.level + i64::from(self.rest > 0),
        }
    }
}
