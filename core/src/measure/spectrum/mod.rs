//! The frequencies that a record contains.

mod distortion;
mod transform;
mod window;

pub use distortion::Distortion;
pub use window::Window;

use super::{Reason, Value};

/// The power of a record over frequency.
///
/// For a record of N samples, bin k is the frequency k/N, in cycles a sample, up to 1/2. Its power
/// is the mean square of the samples at that frequency, in counts²: the powers of all bins together
/// are the mean square about the mean. A tone spreads over the bins of its window's main lobe; its
/// power is their sum, and [`level`](Self::level) reads its RMS from the highest of them.
///
/// [`Spectrum::of`] transforms 2^n samples in a buffer lent to it, in `f32`, as a chip can. If
/// there is room for any other transform, pass its powers to [`Spectrum::new`].
///
/// ```
/// use stillwave::measure::{Spectrum, Window};
/// // 1.0 at 1/16 and 0.1 at its third multiple.
/// let tone = |turns: f64| (std::f64::consts::TAU * turns).sin();
/// let signal = |i: i32| tone(f64::from(i) / 16.0) + 0.1 * tone(3.0 * f64::from(i) / 16.0);
/// let samples: Vec<f32> = (0..1024).map(|i| signal(i) as f32).collect();
/// let mut buffer = [0.0; 1024];
/// let spectrum = Spectrum::of(&samples, Window::BlackmanHarris, &mut buffer)?;
/// assert!((spectrum.level(64) - 0.5_f64.sqrt()).abs() < 1e-6);
/// let found = spectrum.distortion()?;
/// assert!((found.frequency - 1.0 / 16.0).abs() < 1e-6 && (found.thd? - 0.1).abs() < 1e-6);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Spectrum<'a> {
    power: Power<'a>,
    /// The number of samples that were transformed.
    samples: usize,
    window: Window,
}

#[derive(Clone, Copy, Debug)]
enum Power<'a> {
    Short(&'a [f32]),
    Long(&'a [f64]),
}

impl<'a> Spectrum<'a> {
    /// Makes the spectrum of `samples` samples that were weighted by `window`, from the power of
    /// each of its `samples`/2 + 1 bins.
    ///
    /// With X the transform of weight · (sample − weighted mean), the power is |X|²/(N ·
    /// [`Window::square_sum`]) for the first bin and, for an even number of samples, the last; it
    /// is twice that for the others.
    ///
    /// # Errors
    /// [`Reason::TooShort`] for fewer than 8 samples, or another number of bins;
    /// [`Reason::NotFinite`].
    pub fn new(power: &'a [f64], samples: usize, window: Window) -> Result<Self, Reason> {
        if samples < 8 || power.len() != samples / 2 + 1 {
            return Err(Reason::TooShort);
        }
        if !power.iter().sum::<f64>().is_finite() {
            return Err(Reason::NotFinite);
        }
        Ok(Self { power: Power::Long(power), samples, window })
    }

    /// The number of bins.
    pub fn bins(&self) -> usize {
        self.samples / 2 + 1
    }

    /// The window that weighted the samples.
    pub fn window(&self) -> Window {
        self.window
    }

    /// The frequency of a bin, in cycles a sample.
    pub fn frequency(&self, bin: usize) -> f64 {
        bin as f64 / self.samples as f64
    }

    /// The power in a bin, in counts²; 0 beyond the last bin.
    pub fn power(&self, bin: usize) -> f64 {
        match self.power {
            Power::Short(power) => power.get(bin).map_or(0.0, |&power| power.into()),
            Power::Long(power) => power.get(bin).copied().unwrap_or(0.0),
        }
    }

    /// The RMS of a tone at a bin's frequency, in counts, as a picture of the spectrum shows it.
    pub fn level(&self, bin: usize) -> f64 {
        libm::sqrt(self.power(bin) * self.window.noise_bandwidth())
    }

    /// The total power of some bins.
    fn sum(&self, bins: core::ops::Range<usize>) -> f64 {
        bins.map(|bin| self.power(bin)).sum()
    }
}

/// A ratio of powers in decibels.
fn decibels(over: f64, under: f64) -> Value {
    let ratio = over / under;
    if ratio > 0.0 && ratio.is_finite() {
        Ok(10.0 * libm::log10(ratio))
    } else {
        Err(Reason::NoReference)
    }
}
