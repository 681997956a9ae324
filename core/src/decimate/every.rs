//! One sample of every n.

use core::marker::PhantomData;

use super::course::Course;
use super::{Decimator, Grid};
use crate::{ConfigError, Sample};

/// Keeps every n-th sample and drops those between.
///
/// This is fast, but blind: what is faster than half the new rate folds into the picture as
/// something slower, and short pulses are missed. [`Envelope`](super::Envelope) misses none;
/// [`Boxcar`](super::Boxcar), [`Cic`](super::Cic) and [`Fir`](super::Fir) remove what would fold.
///
/// ```
/// use stillwave::decimate::{Decimator, Every};
/// let mut every = Every::new(3)?;
/// let mut kept = Vec::new();
/// every.push(&[0_u16, 1, 2, 3], |x| kept.push(x));
/// every.push(&[4, 5, 6, 7], |x| kept.push(x));
/// assert_eq!(kept, [0, 3, 6]);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Every<T> {
    step: u32,
    /// The number of samples to skip before the next one kept.
    left: u32,
    course: Course,
    sample: PhantomData<T>,
}

impl<T: Sample> Every<T> {
    /// Makes a decimator that keeps one of every `step` samples, beginning with the first.
    ///
    /// # Errors
    /// The step is 0.
    pub fn new(step: u32) -> Result<Self, ConfigError> {
        let step = super::step(step, u32::MAX, "1 or more")?;
        Ok(Self { step, left: 0, course: Course::default(), sample: PhantomData })
    }
}

impl<T: Sample> Decimator for Every<T> {
    type Input = T;
    type Output = T;

    fn grid(&self) -> Grid {
        Grid::new(self.step, 1)
    }

    #[inline]
    fn push(&mut self, samples: &[T], mut on_output: impl FnMut(T)) {
        let samples = self.course.enter(samples);
        let step = self.step.max(1) as usize;
        let (mut next, mut given) = (self.left as usize, 0);
        let mut left = next.saturating_sub(samples.len());
        while let Some(&x) = samples.get(next) {
            on_output(x);
            given += 1;
            // Not of the sum, which 32 bits may not hold.
            left = step.saturating_sub(samples.len() - next);
            next = next.saturating_add(step);
        }
        self.left = left as u32;
        self.course.gave(given);
    }

    fn gap(&mut self, lost: u64, _: impl FnMut(T)) -> u64 {
        self.left = 0;
        self.course.gap(self.step, lost)
    }

    fn output(&self) -> u64 {
        self.course.output()
    }

    fn reset(&mut self) {
        (self.left, self.course) = (0, Course::default());
    }
}
