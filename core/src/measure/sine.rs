//! The sine that fits a record best, and the residual.

use core::f64::consts::{PI, TAU};

use super::linear::solve;
use super::number::real;
use super::statistics::Sums;
use super::{Meter, Reason, Value};
use crate::Sample;

/// The number of samples between two exact values of sine and cosine. In between, a rotation is
/// used whose rounding errors stay below 1e-14.
const CHUNK: usize = 64;

/// The number of steps after which the fit of four parameters gives up. From a good first frequency
/// it takes about four.
const STEPS: u32 = 30;

/// The least-squares fit of a sine to a record.
///
/// The sine is offset + amplitude · cos(2π · frequency · n + phase) for sample n = 0, 1, ….
///
/// By IEEE Std 1057 and IEEE Std 1241 (from memory). With the frequency given, it is a linear fit
/// of cosine, sine and 1 (three parameters). Without it, the column t·(B cos ωt − A sin ωt) is
/// added for the change of ω, and the fit is repeated until that change vanishes (four parameters).
/// It is computed in `f64`. Time counts from the middle of the record, where phase and frequency do
/// not depend on each other.
///
/// ```
/// use stillwave::measure::SineFit;
/// let signal = |n: i32| 1500.0 * (std::f64::consts::TAU * 0.0371 * f64::from(n) + 0.4).cos();
/// let samples: Vec<u16> = (0..4096).map(|n| (signal(n) + 2048.25).round() as u16).collect();
/// let fit = SineFit::of(&samples)?;
/// assert!((fit.frequency - 0.0371).abs() < 1e-8);
/// assert!((fit.amplitude - 1500.0).abs() < 0.01 && (fit.phase - 0.4).abs() < 5e-5);
/// assert!((fit.enob(4096.0)? - 11.993).abs() < 0.001);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct SineFit {
    /// The frequency, in cycles a sample.
    pub frequency: f64,
    /// The amplitude (peak), in counts; 0 or more.
    pub amplitude: f64,
    /// The phase at the first sample, in radians: over −π to π.
    pub phase: f64,
    /// The offset, in counts.
    pub offset: f64,
    /// The root mean square of the residual, in counts: noise, distortion and quantisation.
    pub residual_rms: f64,
}

impl SineFit {
    /// Fits the best sine of any frequency near that of the record's transitions.
    ///
    /// # Errors
    /// The errors of [`four_parameters`](Self::four_parameters); also if the record has no
    /// frequency according to [`Meter::measure`] (1 cycle or more, above the noise).
    pub fn of<T: Sample>(samples: &[T]) -> Result<Self, Reason> {
        let frequency = Meter::default().measure(samples).timing.frequency?;
        Self::four_parameters(samples, frequency)
    }

    /// Fits the best sine of a given frequency, in cycles a sample: over 0 and under 0.5.
    ///
    /// # Errors
    /// [`Reason::Empty`], [`Reason::NotFinite`], [`Reason::TooShort`] for fewer than 4 samples,
    /// [`Reason::NotConverged`] for a frequency out of range or too low for the record.
    pub fn three_parameters<T: Sample>(samples: &[T], frequency: f64) -> Result<Self, Reason> {
        let record = Record::new(samples, 4)?;
        record.finish(record.fit_three(frequency)?, frequency)
    }

    /// Fits the best sine of any frequency near a first one, in cycles a sample: over 0 and under
    /// 0.5. The first frequency should be right to half a cycle over the whole record.
    ///
    /// # Errors
    /// [`Reason::Empty`], [`Reason::NotFinite`], [`Reason::TooShort`] for fewer than 5 samples,
    /// [`Reason::NotConverged`] if none is found near the first frequency.
    pub fn four_parameters<T: Sample>(samples: &[T], first: f64) -> Result<Self, Reason> {
        let record = Record::new(samples, 5)?;
        let span = samples.len() as f64;
        let mut frequency = first;
        let mut terms = record.fit_three(frequency)?;
        for _ in 0..STEPS {
            let (next, change) = record.fit_four(frequency, terms)?;
            // Further than half a cycle over the record is another peak of the spectrum.
            frequency += change.max(-0.5 / span).min(0.5 / span);
            if libm::fabs(frequency - first) * span > 1.0 {
                return Err(Reason::NotConverged);
            }
            terms = next;
            // A billionth of a cycle over the record.
            if libm::fabs(change) * span < 1e-9 {
                return record.finish(record.fit_three(frequency)?, frequency);
            }
        }
        Err(Reason::NotConverged)
    }

    /// The root mean square of the sine alone, in counts: amplitude/√2.
    pub fn rms(&self) -> f64 {
        self.amplitude / core::f64::consts::SQRT_2
    }

    /// Signal to noise and distortion: the RMS of the sine over that of the residual, in decibels.
    /// (IEEE Std 1241; from memory.)
    ///
    /// # Errors
    /// [`Reason::NoReference`] if one of the two is 0.
    pub fn sinad(&self) -> Value {
        let ratio = self.rms() / self.residual_rms;
        if !(ratio > 0.0 && ratio.is_finite()) {
            return Err(Reason::NoReference);
        }
        Ok(20.0 * libm::log10(ratio))
    }

    /// The effective number of bits of a converter with this full-scale range, in counts:
    /// log2(range/(√12 · residual RMS)).
    ///
    /// 12 bits have a range of 4096. (IEEE Std 1241; from memory.)
    ///
    /// # Errors
    /// [`Reason::NoReference`] if the residual or the range is not over 0.
    pub fn enob(&self, full_scale: f64) -> Value {
        let ratio = full_scale / (libm::sqrt(12.0) * self.residual_rms);
        if !(ratio > 0.0 && ratio.is_finite()) {
            return Err(Reason::NoReference);
        }
        Ok(libm::log2(ratio))
    }
}

/// offset + cosine · cos ωt + sine · sin ωt, with t from the middle of the record.
#[derive(Clone, Copy)]
struct Terms {
    cosine: f64,
    sine: f64,
    offset: f64,
}

struct Record<'a, T> {
    samples: &'a [T],
    middle: f64,
    /// The value that the sums are taken about, so that they keep their precision.
    mean: f64,
}

impl<'a, T: Sample> Record<'a, T> {
    fn new(samples: &'a [T], fewest: usize) -> Result<Self, Reason> {
        let mean = Sums::of(samples)?.statistics().mean;
        if samples.len() < fewest {
            return Err(Reason::TooShort);
        }
        Ok(Self { samples, middle: (samples.len() - 1) as f64 / 2.0, mean })
    }

    /// Calls `each` with every sample's time from the middle, cosine and sine at that time, and
    /// distance from the mean.
    fn for_each(&self, frequency: f64, mut each: impl FnMut(f64, f64, f64, f64)) {
        let step = cosine_and_sine(frequency);
        let mut time = -self.middle;
        for chunk in self.samples.chunks(CHUNK) {
            let (mut cosine, mut sine) = cosine_and_sine(frequency * time);
            for &x in chunk {
                each(time, cosine, sine, real(x) - self.mean);
                time += 1.0;
                (cosine, sine) = (cosine * step.0 - sine * step.1, sine * step.0 + cosine * step.1);
            }
        }
    }

    fn fit_three(&self, frequency: f64) -> Result<Terms, Reason> {
        if !(frequency > 0.0 && frequency < 0.5) {
            return Err(Reason::NotConverged);
        }
        let mut sums = Normal::default();
        self.for_each(frequency, |_, cosine, sine, y| sums.add([cosine, sine, 1.0], y));
        let [cosine, sine, offset] = sums.solve()?;
        Ok(Terms { cosine, sine, offset })
    }

    /// The next terms, and the change of the frequency.
    fn fit_four(&self, frequency: f64, terms: Terms) -> Result<(Terms, f64), Reason> {
        if !(frequency > 0.0 && frequency < 0.5) {
            return Err(Reason::NotConverged);
        }
        let mut sums = Normal::default();
        // As large as the other columns.
        let amplitude = libm::hypot(terms.cosine, terms.sine);
        let scale = 1.0 / (amplitude * self.middle);
        let (a, b) = (terms.cosine * scale, terms.sine * scale);
        self.for_each(frequency, |time, cosine, sine, y| {
            sums.add([cosine, sine, 1.0, time * (b * cosine - a * sine)], y);
        });
        let [cosine, sine, offset, change] = sums.solve()?;
        Ok((Terms { cosine, sine, offset }, change * scale / TAU))
    }

    /// The residual after the sine is subtracted, in its own pass. Sums of squares would lose it,
    /// because the sine is so much larger.
    fn finish(&self, terms: Terms, frequency: f64) -> Result<SineFit, Reason> {
        let Terms { cosine: a, sine: b, offset } = terms;
        let mut squares = 0.0;
        self.for_each(frequency, |_, cosine, sine, y| {
            let rest = y - (offset + a * cosine + b * sine);
            squares += rest * rest;
        });
        let at_middle = libm::atan2(-b, a) / TAU;
        let turns = at_middle - frequency * self.middle;
        let fit = SineFit {
            frequency,
            amplitude: libm::hypot(a, b),
            phase: TAU * (turns - libm::ceil(turns - 0.5)),
            offset: self.mean + offset,
            residual_rms: libm::sqrt(squares / self.samples.len() as f64),
        };
        if fit.residual_rms.is_finite() { Ok(fit) } else { Err(Reason::NotConverged) }
    }
}

/// The normal equations of a linear fit.
struct Normal<const N: usize> {
    matrix: [[f64; N]; N],
    right: [f64; N],
}

impl<const N: usize> Default for Normal<N> {
    fn default() -> Self {
        Self { matrix: [[0.0; N]; N], right: [0.0; N] }
    }
}

impl<const N: usize> Normal<N> {
    #[inline]
    fn add(&mut self, columns: [f64; N], y: f64) {
        for ((row, right), a) in self.matrix.iter_mut().zip(&mut self.right).zip(columns) {
            for (sum, b) in row.iter_mut().zip(columns) {
                *sum += a * b;
            }
            *right += a * y;
        }
    }

    fn solve(&self) -> Result<[f64; N], Reason> {
        solve(self.matrix, self.right).ok_or(Reason::NotConverged)
    }
}

/// The cosine and sine of an angle in turns.
fn cosine_and_sine(turns: f64) -> (f64, f64) {
    let angle = 2.0 * PI * (turns - libm::round(turns));
    (libm::cos(angle), libm::sin(angle))
}
