//! The overall properties of a signal: its range, its two states, its noise.

use super::magnitudes::Magnitudes;
use super::replay::Replay;
use super::ruler::{Moments, Ruler};
use crate::Sample;
use crate::measure::StateLevels;
use crate::measure::histogram::{BINS, Binning};

/// The overall properties of a signal, in counts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Overview {
    /// The number of samples; those that are not finite are left out.
    pub samples: u64,
    /// The smallest sample.
    pub minimum: f64,
    /// The largest sample.
    pub maximum: f64,
    /// The mean.
    pub mean: f64,
    /// The standard deviation about the mean, of the whole signal.
    pub deviation: f64,
    /// The low state; if the signal does not rest there, the minimum without noise.
    pub low: f64,
    /// The high state; if the signal does not rest there, the maximum without noise.
    pub high: f64,
    /// Whether one or both of these are states that the signal rests in; otherwise both are
    /// extremes.
    pub has_states: bool,
    /// The modes of both halves, where they stand out.
    #[cfg_attr(feature = "serde", serde(skip))]
    modes: (Option<f64>, Option<f64>),
    /// The step of one code; 0 for floating point.
    #[cfg_attr(feature = "serde", serde(skip))]
    code: f64,
    /// The standard deviation of the noise from one sample to the next.
    ///
    /// It is measured on differences of neighbours, of the first, second and sixth order. In white
    /// noise of deviation σ these have √2 σ, √6 σ and √924 σ (sums of squared binomials, textbook).
    /// Each is taken from the lower quartile of their magnitudes, 0.3186 of the deviation for
    /// normal noise, which rare edges do not move. The smallest of the three counts, since whatever
    /// is not noise only adds. It is at least that of rounding to counts. Noise that changes slowly
    /// is not seen.
    pub noise: f64,
}

/// The deviation of rounding to codes, in codes: 1/√12 (uniform distribution, textbook).
const ROUNDING: f64 = 0.288_675;

/// The lower quartile of the magnitudes of normal noise, over its deviation: Φ⁻¹(0.625).
const QUARTILE: f64 = 0.318_639;

impl Overview {
    /// The overview of no samples.
    pub(super) const NONE: Self = Self {
        samples: 0,
        minimum: 0.0,
        maximum: 0.0,
        mean: 0.0,
        deviation: 0.0,
        low: 0.0,
        high: 0.0,
        has_states: false,
        modes: (None, None),
        code: 0.0,
        noise: 0.0,
    };

    /// Makes the overview of a signal; `None` if it has no finite sample.
    pub(super) fn of<T: Sample, R: Replay<T>>(signal: &mut R) -> Result<Option<Self>, R::Error> {
        let (mut range, mut samples) = (None, 0_u64);
        signal.replay(|block| {
            for &x in block.iter().filter(|x| x.is_finite()) {
                samples += 1;
                let (low, high) = range.unwrap_or((x, x));
                range = Some((if x < low { x } else { low }, if x > high { x } else { high }));
            }
        })?;
        let Some((minimum, maximum)) = range else { return Ok(None) };
        let ruler = Ruler::new(minimum, maximum);
        let binning =
            Binning::new(minimum, maximum, usize::try_from(samples).unwrap_or(usize::MAX));
        let mut counts = [0_usize; BINS];
        let mut moments = Moments::default();
        let mut differences = Differences::default();
        signal.replay(|block| {
            for &x in block.iter().filter(|x| x.is_finite()) {
                binning.count(&[x], &mut counts);
                let steps = ruler.steps(x);
                moments.add(steps);
                differences.add(steps.into());
            }
        })?;
        let [bottom, top] = [minimum, maximum].map(|x| T::wide_to_f64(x.widen()));
        let noise = ruler.size(differences.noise()).max(ROUNDING * ruler.code());
        let found = Self {
            samples,
            minimum: bottom,
            maximum: top,
            mean: ruler.at(moments.mean()),
            deviation: ruler.size(libm::sqrt(moments.variance())),
            modes: StateLevels::modes(&binning, &counts),
            code: ruler.code(),
            ..Self::NONE
        };
        Ok(Some(found.in_noise(noise)))
    }

    /// The overview with a noise that is known.
    pub(super) fn in_noise(self, noise: f64) -> Self {
        let (bottom, top) = (self.minimum, self.maximum);
        // Of many samples, noise has taken the last ones beyond by about so much.
        let beyond = 3.5 * noise;
        let (low, high) = match self.modes {
            // One alone belongs to a signal with rare pulses; in strong noise it is chance.
            (Some(_), None) | (None, Some(_)) if 20.0 * noise > top - bottom => (None, None),
            modes => modes,
        };
        let has_states = low.or(high).is_some();
        let (low, high) = (low.unwrap_or(bottom + beyond), high.unwrap_or(top - beyond));
        // As for state levels: nearer than a quarter of the range they are one.
        let is_apart = |low: f64, high: f64| 4.0 * (high - low) >= top - bottom && high > low;
        let (has_states, low, high) = if is_apart(low, high) {
            (has_states, low, high)
        } else if is_apart(bottom + beyond, top - beyond) {
            (false, bottom + beyond, top - beyond)
        } else {
            (false, bottom, top)
        };
        Self { low, high, has_states, noise, ..self }
    }

    /// High minus low.
    pub fn amplitude(&self) -> f64 {
        self.high - self.low
    }

    /// Half way between the two states.
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// Whether the signal is more than noise.
    ///
    /// The deviation of the whole signal must be a good deal more than that of its noise, and so
    /// must its range; or its range must be more than normal noise has in any recording (7
    /// deviations to either side: one sample in 10^11). A level between two codes may be either of
    /// them, half a code from their middle, so noise counts for at least that much. Fewer than 16
    /// samples give no answer.
    pub fn moves(&self) -> bool {
        let noise = self.noise.max(self.code / 2.0);
        let range = self.maximum - self.minimum;
        // Of few samples the noise is not known so well.
        let more = 1.5 + 20.0 / libm::sqrt(self.samples.max(1) as f64);
        let deviates = self.deviation * self.deviation > more * noise * noise;
        self.samples >= 16 && ((deviates && range > 7.0 * noise) || range > 14.0 * noise)
    }
}

/// Differences of neighbours.
#[derive(Default)]
struct Differences {
    /// The last samples, newest first, and how many there are.
    last: [i64; 6],
    known: usize,
    first: Magnitudes,
    second: Magnitudes,
    sixth: Magnitudes,
}

impl Differences {
    #[inline]
    fn add(&mut self, x: i64) {
        let [last, before, ..] = self.last;
        if self.known >= 1 {
            self.first.add((x - last).unsigned_abs());
        }
        if self.known >= 2 {
            self.second.add((x - 2 * last + before).unsigned_abs());
        }
        if self.known >= 6 {
            let rest = self.last.iter().zip([-6, 15, -20, 15, -6, 1]);
            let sixth = rest.fold(x, |sum, (x, weight)| sum + weight * x);
            self.sixth.add(sixth.unsigned_abs());
        }
        self.last.rotate_right(1);
        self.last[0] = x;
        self.known = (self.known + 1).min(6);
    }

    fn noise(&self) -> f64 {
        let of = |magnitudes: &Magnitudes, gain: f64| {
            // The quartile of coarse noise may be 0 by chance: no estimate. Where most are 0, all
            // that is known is that they are below a half.
            match magnitudes.zeros() {
                0.25..0.5 => f64::INFINITY,
                _ => magnitudes.quantile(0.25).max(0.5) / QUARTILE / libm::sqrt(gain),
            }
        };
        let (first, second) = (of(&self.first, 2.0), of(&self.second, 6.0));
        let least = first.min(second).min(of(&self.sixth, 924.0));
        if least.is_finite() { least } else { 0.5 }
    }
}
