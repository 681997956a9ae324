//! Cascaded integrators and combs.

use core::marker::PhantomData;

use super::course::Course;
use super::{Decimator, Grid};
use crate::{ConfigError, Sample};

/// The highest order.
const ORDERS: usize = 5;

/// Samples that are whole numbers: all types but `f32`.
pub trait Counts: Sample<Tap = i16, Fine = i64> {
    #[doc(hidden)]
    fn low(self) -> i32;
    #[doc(hidden)]
    fn whole(self) -> i64;
    #[doc(hidden)]
    fn nearest(value: i64) -> Self;
}

macro_rules! counts {
    ($($sample:ty)*) => {$(
        #[allow(clippy::cast_lossless)]
        impl Counts for $sample {
            #[inline]
            fn low(self) -> i32 {
                self as i32
            }

            #[inline]
            fn whole(self) -> i64 {
                self as i64
            }

            #[inline]
            fn nearest(value: i64) -> Self {
                value.clamp(Self::MIN as i64, Self::MAX as i64) as Self
            }
        }
    )*};
}

counts!(u8 i8 u16 i16 u32 i32);

/// The integer type of a [`Cic`]'s arithmetic: `i32` or `i64`.
pub trait Accumulator: Copy + Default + Send + Sync + core::fmt::Debug + 'static {
    #[doc(hidden)]
    const MAX: i64;
    #[doc(hidden)]
    fn of<T: Counts>(x: T) -> Self;
    #[doc(hidden)]
    #[must_use]
    fn plus(self, other: Self) -> Self;
    #[doc(hidden)]
    #[must_use]
    fn minus(self, other: Self) -> Self;
    #[doc(hidden)]
    fn quotient(self, gain: i64) -> i64;
}

macro_rules! accumulator {
    ($type:ty, $of:ident) => {
        #[allow(clippy::cast_lossless)]
        impl Accumulator for $type {
            const MAX: i64 = <$type>::MAX as i64;

            #[inline]
            fn of<T: Counts>(x: T) -> Self {
                x.$of()
            }

            #[inline]
            fn plus(self, other: Self) -> Self {
                self.wrapping_add(other)
            }

            #[inline]
            fn minus(self, other: Self) -> Self {
                self.wrapping_sub(other)
            }

            #[inline]
            fn quotient(self, gain: i64) -> i64 {
                super::kernels::nearest_quotient(self as i64, gain)
            }
        }
    };
}

accumulator!(i32, low);
accumulator!(i64, whole);

/// A cascade of `order` moving sums of `step` samples, read at every `step`-th sample and computed
/// with additions alone (Hogenauer 1981; from memory).
///
/// The integrators wrap, and the combs undo that: the output is exact as long as it fits, which
/// `new` ensures. The response is |sin(πfR)/sin(πf)|^N at f in parts of the rate, with the gain
/// R^N; samples gain ⌈N·log2 R⌉ bits. Outputs are of type `A`: `i32` for small chips and for
/// triggers that follow, or `i64`.
///
/// An output is given only when all its N·(R − 1) + 1 samples have come, so that the stream begins
/// with true values.
///
/// ```
/// use stillwave::decimate::{Cic, Decimator};
/// let mut cic = Cic::<u16>::new(3, 8)?;
/// assert_eq!((cic.gain(), cic.gained_bits()), (512.0, 9));
/// let mut outputs = Vec::new();
/// cic.push(&[1000; 30], |output| outputs.push(output));
/// assert_eq!(outputs, [512_000, 512_000]);
/// assert_eq!(cic.mean(512_000), 1000);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Cic<T, A = i32> {
    order: u32,
    step: u32,
    gain: i64,
    integrators: [A; ORDERS],
    combs: [A; ORDERS],
    /// The number of samples until the integrators are read next.
    left: u32,
    /// The number of readings that are not complete yet.
    cold: u32,
    course: Course,
    sample: PhantomData<T>,
}

impl<T: Counts, A: Accumulator> Cic<T, A> {
    /// Makes a filter of this order (1 to 5) that gives one output for every `step` samples.
    ///
    /// # Errors
    /// The order is out of range; the step is 0, or makes the largest sample too large for `A`.
    pub fn new(order: u32, step: u32) -> Result<Self, ConfigError> {
        if !(1..=ORDERS as u32).contains(&order) {
            return Err(ConfigError::new("order", f64::from(order), "1 to 5"));
        }
        let gain = i64::from(step).checked_pow(order);
        let fits = |gain: &i64| {
            let most = T::MAX.whole().checked_mul(*gain);
            let least = T::MIN.whole().checked_mul(*gain);
            // One below the negative of the largest.
            let floor = -A::MAX - 1;
            *gain > 0 && most.is_some_and(|m| m <= A::MAX) && least.is_some_and(|l| l >= floor)
        };
        let Some(gain) = gain.filter(fits) else {
            let range = "1 or more, and so small that step^order times the largest sample fits the \
                         accumulator";
            return Err(ConfigError::new("step", f64::from(step), range));
        };
        let mut cic = Self {
            order,
            step,
            gain,
            integrators: [A::default(); ORDERS],
            combs: [A::default(); ORDERS],
            left: 0,
            cold: 0,
            course: Course::default(),
            sample: PhantomData,
        };
        cic.begin();
        Ok(cic)
    }

    /// How many bits longer an output is than a sample: ⌈order · log2(step)⌉.
    pub fn gained_bits(&self) -> u32 {
        i64::BITS - self.gain.saturating_sub(1).leading_zeros()
    }

    /// An output as a sample, rounded to nearest, halves upwards.
    #[inline]
    pub fn mean(&self, output: A) -> T {
        T::nearest(output.quotient(self.gain))
    }

    /// Restarts: from here on nothing is known of earlier samples.
    fn begin(&mut self) {
        self.integrators = [A::default(); ORDERS];
        self.combs = [A::default(); ORDERS];
        // The first output ends with sample N·(R − 1); readings are whole steps apart.
        let last = u64::from(self.order) * u64::from(self.step.saturating_sub(1));
        let step = u64::from(self.step.max(1));
        self.left = (last % step) as u32 + 1;
        self.cold = (last / step) as u32;
    }

    #[inline]
    fn run<const N: usize>(&mut self, samples: &[T], mut on_output: impl FnMut(A)) {
        let Some(&integrators) = self.integrators.first_chunk::<N>() else { return };
        let mut integrators = integrators;
        let mut rest = samples;
        loop {
            let (now, later) = rest.split_at((self.left as usize).min(rest.len()));
            for &x in now {
                let mut carry = A::of(x);
                for sum in &mut integrators {
                    *sum = sum.plus(carry);
                    carry = *sum;
                }
            }
            self.left -= now.len() as u32;
            if self.left > 0 {
                break;
            }
            (self.left, rest) = (self.step, later);
            let mut output = integrators.last().copied().unwrap_or_default();
            for comb in self.combs.iter_mut().take(N) {
                let before = core::mem::replace(comb, output);
                output = output.minus(before);
            }
            if self.cold > 0 {
                self.cold -= 1;
            } else {
                self.course.gave(1);
                on_output(output);
            }
        }
        for (kept, sum) in self.integrators.iter_mut().zip(integrators) {
            *kept = sum;
        }
    }
}

impl<T: Counts, A: Accumulator> Decimator for Cic<T, A> {
    type Input = T;
    type Output = A;

    fn grid(&self) -> Grid {
        let reach = self.order.saturating_mul(self.step.saturating_sub(1));
        Grid::new(self.step, reach.saturating_add(1))
    }

    fn gain(&self) -> f64 {
        self.gain as f64
    }

    #[inline]
    fn push(&mut self, samples: &[T], on_output: impl FnMut(A)) {
        let samples = self.course.enter(samples);
        match self.order {
            1 => self.run::<1>(samples, on_output),
            2 => self.run::<2>(samples, on_output),
            3 => self.run::<3>(samples, on_output),
            4 => self.run::<4>(samples, on_output),
            _ => self.run::<5>(samples, on_output),
        }
    }

    fn gap(&mut self, lost: u64, _: impl FnMut(A)) -> u64 {
        self.begin();
        self.course.gap(self.step, lost)
    }

    fn output(&self) -> u64 {
        self.course.output()
    }

    fn reset(&mut self) {
        self.course = Course::default();
        self.begin();
    }
}
