//! The smallest and the largest of every n samples.

use super::course::{Course, Groups};
use super::{Decimator, Extent, Grid};
use crate::vectors::Vectors;
use crate::{ConfigError, Sample};

/// The number of outputs made before they are handed over.
const TOGETHER: usize = 32;

/// The smallest and the largest of every n samples, so that no spike of a single sample is lost.
///
/// Samples that are not finite are left out and counted. A group with a gap is made of the samples
/// that came.
///
/// ```
/// use stillwave::decimate::{Decimator, Envelope};
/// let mut envelope = Envelope::new(4)?;
/// let mut extents = Vec::new();
/// envelope.push(&[5_u8, 5, 200, 5, 5, 1, 5], |e| extents.push((e.minimum, e.maximum)));
/// let rest = envelope.finish();
/// assert_eq!(extents, [(5, 200)]);
/// assert_eq!(rest.map(|e| (e.minimum, e.maximum)), Some((1, 5)));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Envelope<T> {
    groups: Groups,
    /// The extent of the group in progress, and whether a sample of it has come.
    extent: Extent<T>,
    begun: bool,
    course: Course,
    non_finite: u64,
    vectors: Vectors,
}

impl<T: Sample> Envelope<T> {
    /// Makes an envelope that gives one extent for every `step` samples.
    ///
    /// # Errors
    /// The step is 0.
    pub fn new(step: u32) -> Result<Self, ConfigError> {
        let step = super::step(step, u32::MAX, "1 or more")?;
        Ok(Self {
            groups: Groups { step, filled: 0 },
            extent: Extent::EMPTY,
            begun: false,
            course: Course::default(),
            non_finite: 0,
            vectors: Vectors::find(),
        })
    }

    /// The number of samples that were not finite.
    pub fn non_finite(&self) -> u64 {
        self.non_finite
    }

    /// The extent of the samples left at the end of a stream, if there are any; they are then
    /// discarded.
    pub fn finish(&mut self) -> Option<Extent<T>> {
        self.groups.filled = 0;
        if !core::mem::take(&mut self.begun) {
            return None;
        }
        self.course.gave(1);
        Some(core::mem::take(&mut self.extent))
    }

    /// Adds samples to the group in progress.
    #[inline]
    fn add(&mut self, samples: &[T]) {
        self.begun = true;
        let (extent, non_finite) = T::extent(self.vectors, samples);
        self.extent = self.extent.and(extent);
        self.non_finite += non_finite;
    }
}

impl<T: Sample> Decimator for Envelope<T> {
    type Input = T;
    type Output = Extent<T>;

    fn grid(&self) -> Grid {
        Grid::new(self.groups.step, self.groups.step)
    }

    #[inline]
    fn push(&mut self, samples: &[T], mut on_output: impl FnMut(Extent<T>)) {
        let cut = self.groups.cut(self.course.enter(samples));
        if !cut.head.is_empty() {
            self.add(cut.head);
        }
        if cut.completes {
            on_output(core::mem::take(&mut self.extent));
            self.begun = false;
            self.course.gave(1);
        }
        let step = self.groups.step.max(1) as usize;
        for from in (0..cut.whole.len()).step_by(step.saturating_mul(TOGETHER)) {
            // So many outputs of all that is left, since samples are called for further on.
            let left = cut.whole.get(from..).unwrap_or(&[]);
            let mut extents = [Extent::EMPTY; TOGETHER];
            let (given, non_finite) = T::extents(self.vectors, left, step, &mut extents);
            extents.iter().take(given).for_each(|&extent| on_output(extent));
            self.course.gave(given);
            self.non_finite += non_finite;
        }
        if !cut.tail.is_empty() {
            self.add(cut.tail);
        }
    }

    fn gap(&mut self, lost: u64, mut on_output: impl FnMut(Extent<T>)) -> u64 {
        let (next, filled) = self.course.gap_into(self.groups.step, lost);
        if next > self.course.output()
            && let Some(extent) = self.finish()
        {
            on_output(extent);
        }
        self.groups.filled = filled;
        self.course.jump(next)
    }

    fn output(&self) -> u64 {
        self.course.output()
    }

    fn reset(&mut self) {
        (self.groups.filled, self.begun) = (0, false);
        (self.extent, self.course, self.non_finite) = (Extent::EMPTY, Course::default(), 0);
    }
}
