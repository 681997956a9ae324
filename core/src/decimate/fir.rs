//! Weighted sums of samples.

use super::course::Course;
use super::{Decimator, Grid};
use crate::sample::Number;
use crate::vectors::Vectors;
use crate::{ConfigError, Sample};

/// The number of outputs made before they are handed over.
const TOGETHER: usize = 32;

/// The largest number of bits that outputs may gain.
const MOST_GAINED: u32 = 8;

/// A finite-length filter that is read at every n-th sample: each output is a weighted sum of
/// `taps` samples.
///
/// The weights ([`LowPass`](super::LowPass) designs some) are in Q15 for integers, where 32768
/// stands for 1, and `f32` for `f32`. Integer outputs are the exact sum, rounded to nearest (halves
/// upwards) to 1/2^`gained` of a count, in `i32` (`i64` for samples of 32 bits): nothing clips.
/// `f32` outputs are summed in 8 strands on every machine, with tap j in strand j mod 8. A sample
/// that is not finite makes every output that contains it not finite.
///
/// `C` holds the weights and `B` is the memory for as many samples: arrays, slices or a `Vec`. An
/// output is given only when all its samples have come. Symmetrical weights delay all frequencies
/// by the same time, which the [`Grid`] subtracts.
///
/// ```
/// use stillwave::decimate::{Decimator, Fir};
/// // A quarter, a half, a quarter; every second sample; 2 bits gained.
/// let mut fir = Fir::<u16, _, _>::new([8192, 16384, 8192], 2, 2, [0; 3])?;
/// let mut outputs = Vec::new();
/// fir.push(&[100, 100, 101, 110], |y| outputs.push(y));
/// fir.push(&[110, 110], |y| outputs.push(y));
/// assert_eq!(outputs, [401, 431]);
/// assert_eq!(fir.gain(), 4.0);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Fir<T, C, B> {
    taps: C,
    /// The sum of the weights.
    total: i64,
    step: u32,
    gained: u32,
    buffer: B,
    /// The number of samples of the next output that are in the buffer, from its beginning.
    held: usize,
    /// The number of samples to skip before the next output begins.
    pass: usize,
    course: Course,
    vectors: Vectors,
    sample: core::marker::PhantomData<T>,
}

impl<T: Sample, C: AsRef<[T::Tap]>, B: AsRef<[T]> + AsMut<[T]>> Fir<T, C, B> {
    /// Makes a filter that gives one output for every `step` samples, with `gained` bits (0 to 8)
    /// after the binary point; `f32` outputs gain none.
    ///
    /// # Errors
    /// The step is 0; `gained` is out of range; no taps, some that are not finite, or taps whose
    /// magnitudes add up to more than 65535 (twice a gain of 1); a buffer shorter than the taps.
    pub fn new(taps: C, step: u32, gained: u32, buffer: B) -> Result<Self, ConfigError> {
        let step = super::step(step, u32::MAX, "1 or more")?;
        if gained > MOST_GAINED {
            return Err(ConfigError::new("gained bits", f64::from(gained), "0 to 8"));
        }
        let count = taps.as_ref().len();
        let Some(total) = T::total(taps.as_ref()).filter(|_| count > 0) else {
            let range = "1 or more, whose sizes come to no more than 65535 (f32: finite)";
            return Err(ConfigError::new("taps", count as f64, range));
        };
        if buffer.as_ref().len() < count {
            let value = buffer.as_ref().len() as f64;
            return Err(ConfigError::new("buffer", value, "as long as the taps"));
        }
        let real = matches!(T::wide_number(T::ZERO), Number::Real(_));
        let gained = if real { 0 } else { gained };
        let course = Course::default();
        let (vectors, sample) = (Vectors::find(), core::marker::PhantomData);
        Ok(Self { taps, total, step, gained, buffer, held: 0, pass: 0, course, vectors, sample })
    }

    /// An output as a sample, rounded to nearest, halves upwards.
    #[inline]
    pub fn mean(&self, output: T::Wide) -> T {
        T::mean(output, 1 << self.gained)
    }

    /// Makes outputs of `samples`, which begin with one, and returns their number.
    #[inline]
    fn make(&self, samples: &[T], outputs: &mut [T::Wide]) -> usize {
        let taps = self.taps.as_ref();
        let scale = (self.total, self.gained);
        T::dots(self.vectors, samples, taps, self.step as usize, scale, outputs)
    }

    /// Makes the outputs that begin among the held samples. Returns what is left of `samples`, or
    /// `None` if all of them are held.
    fn straddle<'a>(
        &mut self,
        samples: &'a [T],
        on_output: &mut impl FnMut(T::Wide),
    ) -> Option<&'a [T]> {
        let (span, step) = (self.taps.as_ref().len(), self.step as usize);
        while self.held > 0 {
            let missing = span.saturating_sub(self.held).min(samples.len());
            let room = self.buffer.as_mut().iter_mut().skip(self.held);
            room.zip(samples.iter().take(missing)).for_each(|(to, from)| *to = *from);
            if self.held + missing < span {
                self.held += missing;
                return None;
            }
            let mut output = [T::ZERO];
            self.make(self.buffer.as_ref().get(..span).unwrap_or(&[]), &mut output);
            let [output] = output;
            on_output(output);
            self.course.gave(1);
            // What was held of the next output moves to the beginning.
            let left = self.held.saturating_sub(step);
            if let Some(held) = self.buffer.as_mut().get_mut(..self.held) {
                held.rotate_left(step.min(held.len()));
            }
            self.pass = step.saturating_sub(self.held);
            self.held = left;
        }
        Some(samples)
    }
}

impl<T: Sample, C: AsRef<[T::Tap]>, B: AsRef<[T]> + AsMut<[T]>> Decimator for Fir<T, C, B> {
    type Input = T;
    type Output = T::Wide;

    fn grid(&self) -> Grid {
        Grid::new(self.step, u32::try_from(self.taps.as_ref().len()).unwrap_or(u32::MAX))
    }

    fn gain(&self) -> f64 {
        T::gain(self.taps.as_ref()) * f64::from(1_u32 << self.gained.min(MOST_GAINED))
    }

    #[inline]
    fn push(&mut self, samples: &[T], mut on_output: impl FnMut(T::Wide)) {
        let samples = self.course.enter(samples);
        let Some(rest) = self.straddle(samples, &mut on_output) else { return };
        let passed = self.pass.min(rest.len());
        self.pass -= passed;
        let mut rest = rest.get(passed..).unwrap_or(&[]);
        let span = self.taps.as_ref().len();
        while rest.len() >= span {
            let mut outputs = [T::ZERO; TOGETHER];
            let given = self.make(rest, &mut outputs);
            outputs.iter().take(given).for_each(|&y| on_output(y));
            self.course.gave(given);
            let used = given.saturating_mul(self.step as usize);
            self.pass = used.saturating_sub(rest.len());
            rest = rest.get(used..).unwrap_or(&[]);
            if given == 0 {
                break;
            }
        }
        let room = self.buffer.as_mut().iter_mut();
        room.zip(rest).for_each(|(to, from)| *to = *from);
        self.held = rest.len();
    }

    fn gap(&mut self, lost: u64, _: impl FnMut(T::Wide)) -> u64 {
        (self.held, self.pass) = (0, 0);
        self.course.gap(self.step, lost)
    }

    fn output(&self) -> u64 {
        self.course.output()
    }

    fn reset(&mut self) {
        (self.held, self.pass, self.course) = (0, 0, Course::default());
    }
}
