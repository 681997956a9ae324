//! Bounds on a signal over time.
//!
//! ```text
//! upper ──╮        ╭────     no sample above this line
//!          ╲  ╭───╯
//!           ╰─╯   samples lie between
//!            ╭─╮
//! lower ────╯   ╰───────     no sample below this one
//!                ▲ trigger: time 0
//! ```

use super::bound::Bound;
use super::{MaskTest, MaskVerdict};
use crate::sample::Number;
use crate::{ConfigError, PARTS_PER_SAMPLE, Sample};

/// The largest time of a mask: 2^31 samples to either side of the trigger.
const REACH: i64 = 1 << 47;

/// The largest level of a mask: beyond all integer samples, and small enough that a product with a
/// time fits.
const FARTHEST: i64 = 1 << 40;

/// A corner of a bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MaskPoint<W> {
    /// The time in 1/65536 of a sample from the trigger instant; negative before it.
    pub time: i64,
    /// The bound at that time, in the samples' own unit.
    pub level: W,
}

impl<W> MaskPoint<W> {
    /// Makes a corner at a time in samples from the trigger instant, rounded to the nearest
    /// 1/65536. `None` if the time is not a number or is beyond 2^31 samples.
    pub fn at_samples(samples: f64, level: W) -> Option<Self> {
        let parts = libm::round(samples * PARTS_PER_SAMPLE as f64);
        (libm::fabs(parts) <= REACH as f64).then_some(Self { time: parts as i64, level })
    }
}

/// An upper and a lower bound on the samples around a trigger, each a line through points.
///
/// Between two points the bound is a straight line; before its first point and after its last there
/// is none. A bound without points never fails. Two points at the same time form a step, at which
/// the later one holds. A sample at the bound passes. Integer samples are compared exactly, with
/// integer arithmetic only; `f32` samples in `f64`.
///
/// The points are borrowed, so a board can keep its mask in flash.
///
/// Times are in 1/65536 of a sample from the trigger, levels in the samples' unit. (Common
/// practice.)
///
/// ```
/// use stillwave::expect::{Mask, MaskPoint};
/// let corner = |samples, level| MaskPoint::at_samples(samples, level).unwrap();
/// // Between 10 and 20 for four samples from the trigger on.
/// let upper = [corner(0.0, 20), corner(4.0, 20)];
/// let lower = [corner(0.0, 10), corner(4.0, 10)];
/// let mask = Mask::<u8>::new(&upper, &lower)?;
/// let found = mask.test(&[12, 15, 9, 20], 0);
/// assert_eq!((found.tested, found.outside, found.margin), (4, 1, Ok(-1.0)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Mask<'a, T: Sample> {
    pub(super) upper: &'a [MaskPoint<T::Wide>],
    pub(super) lower: &'a [MaskPoint<T::Wide>],
}

impl<'a, T: Sample> Mask<'a, T> {
    /// Makes a mask of two bounds; either may be without points.
    ///
    /// # Errors
    /// Points whose times go backwards or beyond 2^31 samples; levels that are not numbers, or for
    /// integers beyond ±2^40; an upper bound below the lower one; a bound of only one point.
    pub fn new(
        upper: &'a [MaskPoint<T::Wide>],
        lower: &'a [MaskPoint<T::Wide>],
    ) -> Result<Self, ConfigError> {
        for (name, points) in [("upper bound", upper), ("lower bound", lower)] {
            check::<T>(name, points)?;
        }
        let mask = Self { upper, lower };
        // Two lines that are straight between corners, and in order on both sides of each, are in
        // order everywhere.
        for point in upper.iter().chain(lower) {
            let time = point.time;
            for (upper, lower) in [(upper, lower), (until(upper, time), until(lower, time))] {
                let highest = Bound::<T>::upper(upper, time).limit();
                let lowest = Bound::<T>::lower(lower, time).limit();
                if let (Some(highest), Some(lowest)) = (highest, lowest)
                    && highest < lowest
                {
                    let range = "at or over the lower bound";
                    return Err(ConfigError::new("upper bound", highest, range));
                }
            }
        }
        Ok(mask)
    }

    /// Checks a whole record. `first` is the time of its first sample from the trigger instant, in
    /// 1/65536 of a sample: [`Record::first_time`](crate::Record::first_time).
    pub fn test(&self, samples: &[T], first: i64) -> MaskVerdict {
        let mut test = MaskTest::new(*self, first);
        test.push(samples);
        test.verdict()
    }
}

/// The points of a bound just before `time`. At a step, the earlier point is its end.
fn until<W>(points: &[MaskPoint<W>], time: i64) -> &[MaskPoint<W>] {
    match points.iter().position(|point| point.time >= time) {
        Some(end @ 1..) => points.get(..=end).unwrap_or(&[]),
        _ => &[],
    }
}

fn check<T: Sample>(name: &'static str, points: &[MaskPoint<T::Wide>]) -> Result<(), ConfigError> {
    if points.len() == 1 {
        return Err(ConfigError::new(name, 1.0, "of no point, or two and more"));
    }
    let mut last = -REACH;
    for point in points {
        if !(last..=REACH).contains(&point.time) {
            let time = point.time as f64 / PARTS_PER_SAMPLE as f64;
            let range = "in order of time, within 2147483648 samples of the trigger";
            return Err(ConfigError::new(name, time, range));
        }
        last = point.time;
        let level = T::wide_to_f64(point.level);
        if !(T::is_level(point.level)
            && (matches!(T::wide_number(T::ZERO), Number::Real(_))
                || libm::fabs(level) <= FARTHEST as f64))
        {
            return Err(ConfigError::new(name, level, "at levels that samples can be near"));
        }
    }
    Ok(())
}
