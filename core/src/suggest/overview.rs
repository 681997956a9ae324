//! What a signal is like as a whole: its range, its two states, its noise.

use super::magnitudes::Magnitudes;
use super::replay::Replay;
use super::ruler::{Moments, Ruler};
use crate::Sample;
use crate::measure::StateLevels;
use crate::measure::histogram::{BINS, Binning};

/// What a signal is like as a whole, in counts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Overview {
    /// How many samples it has; those that are not finite are left out.
    pub samples: u64,
    /// The smallest sample.
    pub minimum: f64,
    /// The largest sample.
    pub maximum: f64,
    /// The mean.
    pub mean: f64,
    /// The standard deviation of all of it about the mean.
    pub deviation: f64,
    /// The low state; the minimum where it rests on no two states.
    pub low: f64,
    /// The high state; the maximum where it rests on no two states.
    pub high: f64,
    /// Whether `low` and `high` are states that it rests on, not its extremes.
    pub has_states: bool,
    /// The standard deviation of the noise from one sample to the next.
    ///
    /// From differences of neighbours, of the first, second and fourth order: in white noise of
    /// deviation σ they have √2 σ, √6 σ and √70 σ (sums of squared binomials, textbook). Each is
    /// taken from the lower quartile of their magnitudes, 0.3186 of the deviation for normal noise,
    /// which edges that are rare do not move; and of the three the least, since whatever is not
    /// noise only adds. At least that of rounding to counts. Noise that changes slowly is not seen.
    pub noise: f64,
}

/// The lower quartile of the magnitudes of normal noise, over its deviation: Φ⁻¹(0.625).
const QUARTILE: f64 = 0.318_639;

impl Overview {
    /// That of no samples.
    pub(super) const NONE: Self = Self {
        samples: 0,
        minimum: 0.0,
        maximum: 0.0,
        mean: 0.0,
        deviation: 0.0,
        low: 0.0,
        high: 0.0,
        has_states: false,
        noise: 0.0,
    };

    /// The overview of a signal; `None` where it has no finite sample.
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
        let states = StateLevels::of_counts(&binning, &counts, bottom, top);
        let StateLevels { low, high } = states.unwrap_or(StateLevels { low: bottom, high: top });
        let found = Self {
            samples,
            minimum: bottom,
            maximum: top,
            mean: ruler.at(moments.mean()),
            deviation: ruler.size(libm::sqrt(moments.variance())),
            low,
            high,
            has_states: states.is_some(),
            noise: 0.0,
        };
        Ok(Some(found.in_noise(ruler.size(differences.noise()).max(ruler.rounding()))))
    }

    /// The same where the noise is known. A state on one side alone, and an extreme on the other,
    /// is a pulse that is rare; in strong noise it is chance, and the extremes are better.
    pub(super) fn in_noise(self, noise: f64) -> Self {
        let is_lopsided = (self.low == self.minimum) != (self.high == self.maximum);
        if is_lopsided && 20.0 * noise > self.amplitude() {
            return Self {
                low: self.minimum,
                high: self.maximum,
                has_states: false,
                noise,
                ..self
            };
        }
        Self { noise, ..self }
    }

    /// High less low.
    pub fn amplitude(&self) -> f64 {
        self.high - self.low
    }

    /// Half way between the two states.
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// Whether there is more to it than noise: the deviation of all of it is a good deal more than
    /// that of its noise, or its range is more than normal noise has in any recording (7 deviations
    /// to either side: one sample in 10^11).
    pub fn moves(&self) -> bool {
        let (all, noise) = (self.deviation * self.deviation, self.noise * self.noise);
        all > 1.5 * noise || self.maximum - self.minimum > 14.0 * self.noise
    }
}

/// Differences of neighbours.
#[derive(Default)]
struct Differences {
    /// The last samples, the newest first, and how many there are.
    last: [i64; 4],
    known: usize,
    first: Magnitudes,
    second: Magnitudes,
    fourth: Magnitudes,
}

impl Differences {
    #[inline]
    fn add(&mut self, e: i64) {
        let [d, c, b, a] = self.last;
        if self.known >= 1 {
            self.first.add((e - d).unsigned_abs());
        }
        if self.known >= 2 {
            self.second.add((e - 2 * d + c).unsigned_abs());
        }
        if self.known >= 4 {
            self.fourth.add((e - 4 * d + 6 * c - 4 * b + a).unsigned_abs());
        }
        self.last = [e, d, c, b];
        self.known = (self.known + 1).min(4);
    }

    fn noise(&self) -> f64 {
        let of = |magnitudes: &Magnitudes, gain: f64| {
            magnitudes.quantile(0.25) / QUARTILE / libm::sqrt(gain)
        };
        let (first, second) = (of(&self.first, 2.0), of(&self.second, 6.0));
        first.min(second).min(of(&self.fourth, 70.0))
    }
}
