//! Windows: the weights of samples before they are transformed.

use core::f64::consts::TAU;

/// The weights of the samples, so that a tone between two bins does not spread over all of them.
///
/// Each is a sum of cosines, w(i) = a₀ − a₁ cos(2πi/N) + a₂ cos(4πi/N) − …, over one period of N
/// samples (coefficients, side lobes and losses: textbook, from memory; the flat top's coefficients
/// are those of `scipy` 1.17).
///
/// | window | coherent gain | noise bandwidth, bins | highest side lobe | worst loss between bins |
/// |---|---|---|---|---|
/// | rectangular | 1 | 1 | −13 dB | 3.9 dB |
/// | Hann | 0.5 | 1.5 | −31 dB | 1.4 dB |
/// | Blackman-Harris | 0.35875 | 2.0044 | −92 dB | 0.8 dB |
/// | flat top | 0.21558 | 3.7702 | −93 dB | 0.01 dB |
///
/// Weights are 0 to 1; those of the flat top are also a little below 0. Beyond `samples` they
/// repeat.
///
/// ```
/// use stillwave::measure::Window;
/// assert_eq!((Window::Hann.coherent_gain(), Window::Hann.noise_bandwidth()), (0.5, 1.5));
/// assert!(Window::Hann.weight(0, 64).abs() < 1e-12);
/// assert!((Window::Hann.weight(32, 64) - 1.0).abs() < 1e-12);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Window {
    /// All weights equal. Use it only for whole cycles; it then separates neighbours best.
    Rectangular,
    /// Separates neighbouring tones well.
    Hann,
    /// Shows small tones beside large ones: for distortion and noise.
    #[default]
    BlackmanHarris,
    /// Gives levels to a thousandth, wherever a tone lies.
    FlatTop,
}

impl Window {
    const fn coefficients(self) -> [f64; 5] {
        match self {
            Self::Rectangular => [1.0, 0.0, 0.0, 0.0, 0.0],
            Self::Hann => [0.5, 0.5, 0.0, 0.0, 0.0],
            Self::BlackmanHarris => [0.35875, 0.48829, 0.14128, 0.01168, 0.0],
            Self::FlatTop => {
                [0.215_578_95, 0.416_631_58, 0.277_263_158, 0.083_578_947, 0.006_947_368]
            }
        }
    }

    /// The weight of sample `index` of `samples`.
    pub fn weight(self, index: usize, samples: usize) -> f64 {
        let [a0, a1, a2, a3, a4] = self.coefficients();
        if self == Self::Rectangular || samples == 0 {
            return 1.0;
        }
        let c = libm::cos(TAU * (index as f64 / samples as f64));
        // The multiples' cosines from the first, by the polynomials of Chebyshev.
        let c2 = 2.0 * c * c - 1.0;
        let c3 = 2.0 * c * c2 - c;
        let c4 = 2.0 * c2 * c2 - 1.0;
        a0 - a1 * c + a2 * c2 - a3 * c3 + a4 * c4
    }

    /// The mean weight: the factor by which a tone at a bin becomes smaller.
    pub fn coherent_gain(self) -> f64 {
        let [a0, ..] = self.coefficients();
        a0
    }

    /// The number of bins that receive as much white noise as the window's main lobe.
    pub fn noise_bandwidth(self) -> f64 {
        let gain = self.coherent_gain();
        self.mean_square() / (gain * gain)
    }

    /// The sum of the squares of all weights.
    pub fn square_sum(self, samples: usize) -> f64 {
        self.mean_square() * samples as f64
    }

    fn mean_square(self) -> f64 {
        let [a0, rest @ ..] = self.coefficients();
        a0 * a0 + rest.iter().map(|a| a * a).sum::<f64>() / 2.0
    }

    /// The share of a constant in a bin, over that in the first bin.
    pub(super) fn share_of_mean(self, bin: usize) -> f64 {
        let coefficients = self.coefficients();
        let share = coefficients.get(bin).map_or(0.0, |a| a / (2.0 * self.coherent_gain()));
        if bin.is_multiple_of(2) { share } else { -share }
    }

    /// The number of bins to either side of a tone that belong to it.
    pub(super) fn reach(self) -> usize {
        match self {
            Self::Rectangular => 1,
            Self::Hann => 3,
            Self::BlackmanHarris => 5,
            Self::FlatTop => 6,
        }
    }

    /// How much more the sum of a tone's bins of noise varies than that of independent bins: the
    /// sum of the squared correlations of a bin with those around it (computed from the
    /// coefficients).
    pub(super) fn likeness(self) -> f64 {
        match self {
            Self::Rectangular => 1.0,
            Self::Hann => 1.8,
            Self::BlackmanHarris => 2.6,
            Self::FlatTop => 3.7,
        }
    }
}
