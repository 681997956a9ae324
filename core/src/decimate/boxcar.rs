//! Sums and means of every n samples.

use super::course::{Course, Groups};
use super::{Decimator, Grid};
use crate::vectors::Vectors;
use crate::{ConfigError, Sample};

/// The number of outputs made before they are handed over.
const TOGETHER: usize = 32;

/// The sum of every n samples, with all the bits that it gains; exact for integers.
///
/// White noise becomes 1/√n of the signal, which is worth ½·log2(n) bits (closed form). The
/// response is |sin(πfn) / (n·sin(πf))| at f in parts of the rate: a null at the new rate and its
/// multiples, −3.9 dB at half of it.
///
/// `f32` samples are summed in 16 strands on every machine, with sample j of a group in strand j
/// mod 16. A sample that is not finite makes its sum not finite.
///
/// ```
/// use stillwave::decimate::{Boxcar, Decimator};
/// let mut boxcar = Boxcar::<u16>::new(4)?;
/// let mut sums = Vec::new();
/// boxcar.push(&[4095, 4095, 4095, 4094, 1, 2, 3], |sum| sums.push(sum));
/// boxcar.push(&[5], |sum| sums.push(sum));
/// assert_eq!(sums, [16379, 11]);
/// assert_eq!((boxcar.gained_bits(), boxcar.mean(11)), (2, 3));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Boxcar<T: Sample> {
    groups: Groups,
    partial: T::Partial,
    course: Course,
    vectors: Vectors,
}

impl<T: Sample> Boxcar<T> {
    /// Makes a boxcar that gives one sum for every `step` samples.
    ///
    /// # Errors
    /// The step is 0, or is so large that sums might not fit: over 32768 for `u16`, 65536 for
    /// `i16`, 2^23 for `u8`, 2^24 for `i8`, 2^31 for samples of 32 bits.
    pub fn new(step: u32) -> Result<Self, ConfigError> {
        let range = "1 or more, and small enough for the sum of so many samples to fit";
        let step = super::step(step, T::MOST, range)?;
        Ok(Self {
            groups: Groups { step, filled: 0 },
            partial: T::Partial::default(),
            course: Course::default(),
            vectors: Vectors::find(),
        })
    }

    /// How many bits longer a sum is than a sample: log2(n), rounded up.
    pub fn gained_bits(&self) -> u32 {
        u32::BITS - self.groups.step.saturating_sub(1).leading_zeros()
    }

    /// A sum as a mean, rounded to the nearest sample value, halves upwards.
    #[inline]
    pub fn mean(&self, sum: T::Wide) -> T {
        T::mean(sum, self.groups.step)
    }
}

impl<T: Sample> Decimator for Boxcar<T> {
    type Input = T;
    type Output = T::Wide;

    fn grid(&self) -> Grid {
        Grid::new(self.groups.step, self.groups.step)
    }

    fn gain(&self) -> f64 {
        f64::from(self.groups.step)
    }

    #[inline]
    fn push(&mut self, samples: &[T], mut on_output: impl FnMut(T::Wide)) {
        let filled = self.groups.filled;
        let cut = self.groups.cut(self.course.enter(samples));
        if !cut.head.is_empty() {
            T::sum_into(self.vectors, &mut self.partial, filled, cut.head);
        }
        if cut.completes {
            on_output(T::close(core::mem::take(&mut self.partial)));
            self.course.gave(1);
        }
        let step = self.groups.step.max(1) as usize;
        for from in (0..cut.whole.len()).step_by(step.saturating_mul(TOGETHER)) {
            // So many outputs of all that is left, since samples are called for further on.
            let left = cut.whole.get(from..).unwrap_or(&[]);
            let mut sums = [T::ZERO; TOGETHER];
            let given = T::sums(self.vectors, left, step, &mut sums);
            sums.iter().take(given).for_each(|&sum| on_output(sum));
            self.course.gave(given);
        }
        if !cut.tail.is_empty() {
            T::sum_into(self.vectors, &mut self.partial, 0, cut.tail);
        }
    }

    fn gap(&mut self, lost: u64, _: impl FnMut(T::Wide)) -> u64 {
        self.groups.filled = 0;
        self.partial = T::Partial::default();
        self.course.gap(self.groups.step, lost)
    }

    fn output(&self) -> u64 {
        self.course.output()
    }

    fn reset(&mut self) {
        self.groups.filled = 0;
        (self.partial, self.course) = (T::Partial::default(), Course::default());
    }
}
