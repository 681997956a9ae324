//! A check of samples against a mask, block by block.

use super::Mask;
use super::bound::Bound;
use crate::Sample;
use crate::measure::{Reason, Value};
use crate::sample::Number;

/// The bound that a sample is beyond.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum MaskSide {
    /// Above the upper bound.
    Above,
    /// Below the lower bound.
    Below,
}

/// A sample beyond a bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MaskFault {
    /// The index of the sample, counted from the first one pushed.
    pub index: u64,
    /// The time of the sample from the trigger instant, in 1/65536 of a sample.
    pub time: i64,
    /// The bound that it is beyond.
    pub side: MaskSide,
}

/// The result of a mask test.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MaskVerdict {
    /// The number of samples that a bound applied to.
    pub tested: u64,
    /// The number of samples beyond a bound.
    pub outside: u64,
    /// The number of samples within the mask's times that are not finite: they are neither within
    /// nor beyond.
    pub non_finite: u64,
    /// The first sample beyond a bound.
    pub first: Option<MaskFault>,
    /// The smallest distance from a sample to a bound, in the samples' unit; negative if one is
    /// beyond. For integer samples it is in whole counts: how many more the sample could have
    /// moved. [`Reason::Empty`] if no sample was tested.
    pub margin: Value,
}

impl MaskVerdict {
    /// Whether samples were tested, and all were finite and within the mask.
    pub fn passed(&self) -> bool {
        self.tested > 0 && self.outside == 0 && self.non_finite == 0
    }
}

/// A test of samples against a [`Mask`] that takes them in blocks of any length.
///
/// ```
/// use stillwave::expect::{Mask, MaskPoint, MaskSide, MaskTest};
/// let corner = |time: i64, level| MaskPoint { time: time << 16, level };
/// let upper = [corner(0, 10), corner(4, 30)];
/// let mut test = MaskTest::new(Mask::<u8>::new(&upper, &[])?, 0);
/// test.push(&[10, 12]);
/// test.push(&[21, 25, 30, 200]);
/// let found = test.verdict();
/// // At sample 2 the bound is 20; after sample 4 there is none.
/// let first = found.first.unwrap();
/// assert_eq!((found.tested, found.outside), (5, 1));
/// assert_eq!((first.index, first.side, found.margin), (2, MaskSide::Above, Ok(-1.0)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct MaskTest<'a, T: Sample> {
    upper: Bound<'a, T>,
    lower: Bound<'a, T>,
    index: u64,
    time: i64,
    verdict: MaskVerdict,
    /// The smallest distances so far, for integer samples and for others.
    least: (i64, f64),
}

impl<'a, T: Sample> MaskTest<'a, T> {
    /// Makes a test whose first sample is at the time `first` from the trigger instant, in 1/65536
    /// of a sample: [`Record::first_time`](crate::Record::first_time).
    pub fn new(mask: Mask<'a, T>, first: i64) -> Self {
        let verdict = MaskVerdict {
            tested: 0,
            outside: 0,
            non_finite: 0,
            first: None,
            margin: Err(Reason::Empty),
        };
        Self {
            upper: Bound::upper(mask.upper, first),
            lower: Bound::lower(mask.lower, first),
            index: 0,
            time: first,
            verdict,
            least: (i64::MAX, f64::INFINITY),
        }
    }

    /// Checks the next samples.
    pub fn push(&mut self, samples: &[T]) {
        for &x in samples {
            self.take(x);
            self.upper.advance();
            self.lower.advance();
            self.index = self.index.saturating_add(1);
            self.time = self.time.saturating_add(1 << 16);
        }
    }

    #[inline]
    fn take(&mut self, x: T) {
        let beyond = match x.number() {
            Number::Real(x) => {
                let found = nearer(self.upper.real_margin(x), self.lower.real_margin(x));
                let Some((margin, side)) = found else { return };
                // Not so for what is not a number.
                if margin < self.least.1 && x.is_finite() {
                    self.least.1 = margin;
                }
                (margin < 0.0).then_some(side)
            }
            x => {
                let x = x.whole();
                let found = nearer(self.upper.whole_margin(x), self.lower.whole_margin(x));
                let Some((margin, side)) = found else { return };
                self.least.0 = self.least.0.min(margin);
                (margin < 0).then_some(side)
            }
        };
        let verdict = &mut self.verdict;
        if !x.is_finite() {
            verdict.non_finite += 1;
            return;
        }
        verdict.tested += 1;
        if let Some(side) = beyond {
            verdict.outside += 1;
            let fault = MaskFault { index: self.index, time: self.time, side };
            verdict.first.get_or_insert(fault);
        }
    }

    /// The result so far.
    pub fn verdict(&self) -> MaskVerdict {
        let margin = match T::wide_number(T::ZERO) {
            _ if self.verdict.tested == 0 => Err(Reason::Empty),
            Number::Real(_) => Ok(self.least.1),
            _ => Ok(self.least.0 as f64),
        };
        MaskVerdict { margin, ..self.verdict }
    }
}

/// The smaller of the distances to two bounds, if there are any.
#[inline]
fn nearer<M: PartialOrd>(above: Option<M>, below: Option<M>) -> Option<(M, MaskSide)> {
    match (above, below) {
        (None, None) => None,
        (Some(above), Some(below)) if below < above => Some((below, MaskSide::Below)),
        (Some(above), _) => Some((above, MaskSide::Above)),
        (None, Some(below)) => Some((below, MaskSide::Below)),
    }
}
