//! A tone, its harmonics, and the noise beside them.

use super::{Spectrum, decibels};
use crate::measure::{Reason, Value};

/// The last harmonic that counts as distortion.
const LAST_HARMONIC: usize = 10;

/// How much more power a bin of a tone must have, on average, than a bin of the rest.
const STANDS_OUT: f64 = 8.0;

/// The strongest tone of a spectrum, with its harmonics and noise.
///
/// By IEEE Std 1241 (from memory). The power of a tone is that of its bin and of the window's reach
/// to either side (1, 3, 5 and 6 bins: rectangular, Hann, Blackman-Harris, flat top). Harmonics 2
/// to 10 are looked for at their frequencies, folded back at half the sample rate. Noise is what is
/// neither tone, harmonic nor mean, corrected for the bins it shares with them. A harmonic that
/// falls on the tone or the mean is left out.
///
/// Near the tone, up to four such reaches if there are enough bins, side lobes do not count as
/// noise; farther off they do. For a tone between two bins, SINAD and SNR are therefore right up to
/// about 95 dB with the Blackman-Harris window (90 dB if a harmonic is that near), 80 dB with the
/// flat top, 70 dB with Hann, and not at all without a window. With whole cycles in the record they
/// are right beyond that with any window.
///
/// A second harmonic of one hundredth is at 40 dB:
///
/// ```
/// use stillwave::measure::{Spectrum, Window};
/// let tone = |turns: f64| (std::f64::consts::TAU * turns).sin();
/// let signal = |i: i32| tone(f64::from(i) / 16.0) + 0.01 * tone(f64::from(i) / 8.0);
/// let samples: Vec<f32> = (0..512).map(|i| signal(i) as f32).collect();
/// let mut buffer = [0.0; 512];
/// let found = Spectrum::of(&samples, Window::Hann, &mut buffer)?.distortion()?;
/// assert!((found.thd? - 0.01).abs() < 1e-5 && (found.sinad? - 40.0).abs() < 0.1);
/// assert!((found.harmonic(9) - 7.0 / 16.0).abs() < 1e-9);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Distortion {
    /// The tone's frequency, in cycles a sample: the centre of its power.
    pub frequency: f64,
    /// The tone's RMS, in counts.
    pub level: f64,
    /// Total harmonic distortion: the RMS of the harmonics over that of the tone, 1 for 100 %.
    /// [`Reason::BelowNoise`] if what is at their frequencies could be noise: it is not more than
    /// two standard deviations above the noise beside them.
    pub thd: Value,
    /// The largest that the distortion can be, 1 for 100 %: with two standard deviations of that noise
    /// more.
    pub thd_at_most: f64,
    /// Signal to noise and distortion: the tone's power over that of everything except the mean, in
    /// decibels.
    pub sinad: Value,
    /// Signal to noise: the same without the harmonics.
    pub snr: Value,
}

impl Spectrum<'_> {
    /// Finds the strongest tone, its harmonics and the noise.
    ///
    /// # Errors
    /// [`Reason::NoReference`] if there is no power at all; [`Reason::NotEnoughCycles`] if the tone
    /// is too near the mean to be separated from it; [`Reason::NoTone`] if none stands out;
    /// [`Reason::TooShort`] if no bin is left beside the tone.
    pub fn distortion(&self) -> Result<Distortion, Reason> {
        let (bins, reach) = (self.bins(), self.window.reach());
        // The mean was taken off; what is left about it is its own lobe.
        let first = reach + 1;
        let all = self.sum(0..bins);
        if all <= 0.0 {
            return Err(Reason::NoReference);
        }
        let strongest = (0..bins)
            .fold(0, |best, bin| if self.power(bin) > self.power(best) { bin } else { best });
        let lobe = |peak: usize| peak.saturating_sub(reach)..(peak + reach + 1).min(bins);
        if strongest < first + reach {
            return Err(Reason::NotEnoughCycles);
        }
        let tone = self.sum(lobe(strongest));
        let rest = (self.sum(first..bins) - tone).max(0.0);
        let wide = 2 * reach + 1;
        let others = bins.saturating_sub(first + wide);
        if others == 0 {
            return Err(Reason::TooShort);
        }
        if tone * others as f64 <= STANDS_OUT * rest * wide as f64 {
            return Err(Reason::NoTone);
        }
        // Side lobes of the tone reach beyond its bins; where there are many, they are not noise.
        let guard = (4 * reach).min(bins / 16).max(reach);
        let moment: f64 = lobe(strongest).map(|bin| bin as f64 * self.power(bin)).sum();
        let centre = moment / tone;
        // Lobes already spoken for, by their peaks.
        let mut peaks = [strongest; LAST_HARMONIC];
        let mut harmonics = 0.0;
        let mut taken = lobe(strongest).len();
        for (harmonic, place) in (2..=LAST_HARMONIC).zip(1..) {
            let peak = self.fold(centre * harmonic as f64);
            let is_free =
                peak >= first && peaks.iter().all(|other| other.abs_diff(peak) > 2 * reach);
            if is_free {
                harmonics += self.sum(lobe(peak));
                taken += lobe(peak).len();
                if let Some(kept) = peaks.get_mut(place) {
                    *kept = peak;
                }
            }
        }
        let is_free = |bin: &usize| {
            strongest.abs_diff(*bin) > guard && peaks.iter().all(|peak| peak.abs_diff(*bin) > reach)
        };
        let free = (first..bins).filter(is_free).count();
        let noise: f64 = (first..bins).filter(is_free).map(|bin| self.power(bin)).sum();
        // Noise under the tone and its harmonics is taken for that beside them.
        let a_bin = if free > 0 { noise / free as f64 } else { 0.0 };
        let whole_noise = a_bin * (bins - first) as f64;
        let under_harmonics = a_bin * (taken.saturating_sub(lobe(strongest).len())) as f64;
        let harmonics = (harmonics - under_harmonics).max(0.0);
        // The noise of a bin spreads as much as it is strong.
        let chance = 2.0 * libm::sqrt(self.window.likeness() * a_bin * under_harmonics);
        let thd = if harmonics > chance || a_bin <= 0.0 {
            Ok(libm::sqrt(harmonics / tone))
        } else {
            Err(Reason::BelowNoise)
        };
        Ok(Distortion {
            frequency: centre / self.samples as f64,
            level: libm::sqrt(tone),
            thd,
            thd_at_most: libm::sqrt((harmonics + chance) / tone),
            sinad: decibels(tone, whole_noise + harmonics),
            snr: decibels(tone, whole_noise),
        })
    }

    /// The bin nearest to a frequency, in bins, after folding by sampling.
    fn fold(&self, bin: f64) -> usize {
        let samples = self.samples as f64;
        let within = bin - samples * libm::floor(bin / samples);
        let folded = within.min(samples - within);
        libm::round(folded) as usize
    }
}

impl Distortion {
    /// The frequency of a multiple of the tone's frequency, in cycles a sample, after folding by
    /// sampling.
    pub fn harmonic(&self, multiple: u32) -> f64 {
        let exact = self.frequency * f64::from(multiple);
        let within = exact - libm::floor(exact);
        within.min(1.0 - within)
    }

    /// The effective number of bits: (SINAD − 1.76)/6.02 at full scale. (IEEE Std 1241; from
    /// memory.)
    ///
    /// # Errors
    /// The errors of [`sinad`](Self::sinad).
    pub fn enob(&self) -> Value {
        Ok((self.sinad? - 1.76) / 6.02)
    }
}
