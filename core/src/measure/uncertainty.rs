//! Standard uncertainties of measured values.

use super::measurements::{Measurements, by_name};
use super::meter::Levels;
use super::number::real;
use super::rest::Rest;
use super::statistics::Sums;
use super::timing::TimingSums;
use super::{LevelMethod, Measure, Meter, Reason, StateLevels, Timing, Value};
use crate::sample::Number;
use crate::{ConfigError, Sample, Scale};

/// The standard deviation of rounding to whole counts: 1/√12 (uniform distribution, textbook).
const ROUNDING: f64 = 0.288_675;
/// The number of samples that an edge is assumed to take if the record does not show it whole.
const UNKNOWN_EDGE: f64 = 1.0;
/// The uncertainty of a passage that jumps between two samples; the same value.
const JUMP: f64 = 0.288_675;

/// The standard uncertainties of [`Measurements`].
///
/// For each value it is one standard deviation from noise, rounding to counts, interpolation
/// between samples and the number of cycles. About seven of ten values are within this of the truth
/// (on the signals of `docs/ACCURACY.md`).
///
/// Units are counts and samples as in the measurements; a value that was not found has the same
/// reason here.
///
/// Minimum, maximum and peak-to-peak refer to the samples themselves: noise makes the extremes of
/// many samples larger than those of the signal. Trends and the converter's own errors are not
/// included.
///
/// ```
/// use stillwave::measure::Meter;
/// let square: Vec<u16> = (0..1000).map(|i| if i % 100 < 30 { 3000 } else { 500 }).collect();
/// let meter = Meter::default();
/// let found = meter.measure(&square);
/// let sigma = meter.uncertainty(&square, &found);
/// // The edges lie somewhere between two samples, in 9 cycles.
/// assert!(sigma.timing.period? > 0.01 && sigma.timing.period? < 0.1);
/// assert!(sigma.amplitude? < 3.0);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Uncertainty {
    /// The uncertainty of the smallest sample.
    pub minimum: Value,
    /// The uncertainty of the largest sample.
    pub maximum: Value,
    /// The uncertainty of the maximum minus the minimum.
    pub peak_to_peak: Value,
    /// The uncertainty of the mean.
    pub mean: Value,
    /// The uncertainty of the RMS about 0.
    pub rms: Value,
    /// The uncertainty of the RMS about the mean.
    pub ac_rms: Value,
    /// The uncertainty of the low state.
    pub low: Value,
    /// The uncertainty of the high state.
    pub high: Value,
    /// The uncertainty of the high state minus the low state.
    pub amplitude: Value,
    /// The uncertainty of the low reference level.
    pub low_reference: Value,
    /// The uncertainty of the middle reference level.
    pub mid_reference: Value,
    /// The uncertainty of the high reference level.
    pub high_reference: Value,
    /// The uncertainties of the times; cycles and interval are those measured.
    pub timing: Timing,
}

impl Uncertainty {
    /// Returns the uncertainty of one measurement, in its own unit.
    ///
    /// # Errors
    /// The reason why the value is missing.
    pub fn of(&self, measure: Measure) -> Value {
        by_name!(self, measure)
    }

    /// Converts the uncertainties from counts to volts. If the front end inverts, high and low,
    /// rise and fall, and positive and negative are swapped.
    #[must_use]
    pub fn scaled(self, scale: Scale) -> Self {
        let size = libm::fabs(scale.volts_per_count);
        let volts = |counts: Value| counts.map(|counts| counts * size);
        let upright = Self {
            minimum: volts(self.minimum),
            maximum: volts(self.maximum),
            peak_to_peak: volts(self.peak_to_peak),
            mean: volts(self.mean),
            // About 0 V, which may be near the mean: at most that about the mean.
            rms: volts(self.rms.and(self.ac_rms)),
            ac_rms: volts(self.ac_rms),
            low: volts(self.low),
            high: volts(self.high),
            amplitude: volts(self.amplitude),
            low_reference: volts(self.low_reference),
            mid_reference: volts(self.mid_reference),
            high_reference: volts(self.high_reference),
            timing: self.timing,
        };
        if scale.volts_per_count >= 0.0 {
            return upright;
        }
        Self {
            minimum: upright.maximum,
            maximum: upright.minimum,
            low: upright.high,
            high: upright.low,
            low_reference: upright.high_reference,
            high_reference: upright.low_reference,
            // As uncertain as before.
            timing: Timing { duty: self.timing.duty, ..self.timing.inverted() },
            ..upright
        }
    }

    /// Converts times to seconds and the frequency to hertz, for a rate in samples a second.
    ///
    /// # Errors
    /// The rate is not a finite number over 0.
    pub fn timed(self, rate: f64) -> Result<Self, ConfigError> {
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(ConfigError::new("rate", rate, "over 0"));
        }
        Ok(Self { timing: self.timing.timed(rate), ..self })
    }
}

/// The inputs of the uncertainties, in counts.
struct Budget {
    /// The standard deviation of the noise, and of rounding.
    noise: f64,
    rounding: f64,
    /// Both together.
    sample: f64,
    amplitude: f64,
    /// The number of samples that times are smoothed over.
    smoothing: f64,
    cycles: f64,
    /// Whether both slopes count for the period.
    steady: bool,
    /// The rise and the fall time, clipped or not, and the part of the amplitude that they cover.
    edges: [Value; 2],
    span: f64,
}

impl Meter {
    /// Computes the uncertainties of a record's values. `found` is what [`measure`](Self::measure)
    /// returned for the same samples, before it was scaled or timed.
    ///
    /// It takes about as long as measuring.
    pub fn uncertainty<T: Sample>(&self, samples: &[T], found: &Measurements) -> Uncertainty {
        let levels = self.levels_of(samples);
        let rest = levels.ok().and_then(|levels| levels.rest);
        let rounding = match T::MIN.number() {
            Number::Real(_) => 0.0,
            Number::Narrow(_) | Number::Wide(_) => ROUNDING,
        };
        let noise = match (rest, Sums::of(samples)) {
            (Some(rest), _) => rest.noise,
            (None, Ok(sums)) => Rest::noise_of(samples, &sums.extremes),
            (None, Err(_)) => 0.0,
        };
        let budget = Budget {
            noise,
            rounding,
            sample: libm::hypot(noise, rounding),
            amplitude: levels.map_or(0.0, |levels| levels.states.amplitude()),
            smoothing: rest.map_or(1.0, |rest| f64::from(rest.smoothing.max(1))),
            cycles: found.timing.cycles.max(1) as f64,
            steady: levels.is_ok_and(|levels| levels.is_steady()),
            edges: self.edges(samples, &levels, found),
            span: self.config().references.high - self.config().references.low,
        };
        let sides = match levels {
            Ok(levels) if self.config().levels.is_none() => {
                let may_rest = self.config().method != LevelMethod::Extremes;
                budget.sides(samples, &levels, found, may_rest)
            }
            _ => (0.0, 0.0),
        };
        budget.of(self, found, samples.len() as f64, sides)
    }
}

impl Meter {
    /// The duration of edges. Values withheld because of clipping still move with the noise.
    fn edges<T: Sample>(
        &self,
        samples: &[T],
        levels: &Result<Levels<T>, Reason>,
        found: &Measurements,
    ) -> [Value; 2] {
        let Timing { rise_time, fall_time, .. } = found.timing;
        let (Ok(levels), true) = (levels, [rise_time, fall_time].contains(&Err(Reason::Clipped)))
        else {
            return [rise_time, fall_time];
        };
        let mut sums = TimingSums::new(levels.is_steady());
        match self.for_each_transition(samples, levels, &mut |transition| sums.add(transition)) {
            Ok(()) => [sums.timing().rise_time, sums.timing().fall_time],
            Err(reason) => [Err(reason); 2],
        }
    }
}

impl Budget {
    /// The uncertainties of the low and of the high level.
    fn sides<T: Sample>(
        &self,
        samples: &[T],
        levels: &Levels<T>,
        found: &Measurements,
        may_rest: bool,
    ) -> (f64, f64) {
        let (low_rests, high_rests) = levels
            .rest
            .as_ref()
            .map_or((may_rest, may_rest), |rest| (rest.low_rests, rest.high_rests));
        let drops = match &levels.rest {
            Some(rest) if !low_rests || !high_rests => drops(samples, rest),
            _ => (0.0, 0.0),
        };
        let duty = found.timing.duty.unwrap_or(0.5).clamp(0.001, 0.999);
        let side = |rests: bool, part: f64, drop: f64| {
            if rests {
                self.of_rest(samples.len() as f64 * part)
            } else {
                // The least of two neighbours and noise makes less of it.
                libm::hypot(libm::hypot(PEAK_NOISE * self.noise, self.rounding), PEAK_DROP * drop)
            }
        };
        (side(low_rests, 1.0 - duty, drops.0), side(high_rests, duty, drops.1))
    }

    /// The uncertainty of the mean of samples at one level, of which about half are used.
    fn of_rest(&self, samples: f64) -> f64 {
        let count = (samples / 3.0).max(1.0);
        let by_noise = REST_NOISE * self.noise / libm::sqrt(count);
        // Noise of half a count spreads rounding evenly.
        let rounding = if self.noise < 0.4 { self.rounding } else { 0.0 };
        libm::hypot(libm::hypot(by_noise, rounding), REST_SHAPE * self.amplitude)
    }

    fn of(
        &self,
        meter: &Meter,
        found: &Measurements,
        samples: f64,
        (low, high): (f64, f64),
    ) -> Uncertainty {
        let of = |value: Value, sigma: f64| value.map(|_| sigma);
        let reference = |part: f64| libm::hypot((1.0 - part) * low, part * high);
        let references = meter.config().references;
        // Where it rests without noise, rounding is the same again and again; elsewhere it is not.
        let even = if self.noise < 0.4 { MEAN_ROUNDING * self.rounding } else { 0.0 };
        let mean = libm::hypot(self.sample / libm::sqrt(samples.max(1.0)), even);
        // The power of the noise is in the measured one.
        let rms = |value: Value| {
            value.map(|rms| {
                let by_power = if rms > 0.0 { 0.5 * self.sample * self.sample / rms } else { 0.0 };
                libm::hypot(mean, by_power.min(self.sample))
            })
        };
        Uncertainty {
            minimum: of(found.minimum, self.sample),
            maximum: of(found.maximum, self.sample),
            peak_to_peak: of(found.peak_to_peak, self.sample * core::f64::consts::SQRT_2),
            mean: of(found.mean, mean),
            rms: rms(found.rms),
            ac_rms: rms(found.ac_rms),
            low: of(found.low, low),
            high: of(found.high, high),
            amplitude: of(found.amplitude, libm::hypot(low, high)),
            low_reference: of(found.low_reference, reference(references.low)),
            mid_reference: of(found.mid_reference, reference(references.mid)),
            high_reference: of(found.high_reference, reference(references.high)),
            timing: self.timing(&found.timing, found, libm::hypot(low, high)),
        }
    }

    fn timing(&self, timing: &Timing, found: &Measurements, level: f64) -> Timing {
        // Of both edges, the slower one is moved by noise, and the faster one may jump.
        let known = self.edges.into_iter().filter_map(|edge| match edge {
            Ok(time) => Some(time),
            Err(Reason::TooFast) => Some(0.0),
            Err(_) => None,
        });
        let slow = known.clone().fold(0.0, f64::max);
        let fast = known.reduce(f64::min).unwrap_or(UNKNOWN_EDGE);
        // Samples a count of the amplitude, at the middle of an edge: 0 where it jumps.
        let per_count =
            if self.amplitude > 0.0 { slow / (self.span * self.amplitude) } else { 0.0 };
        // Between samples: a jump may be anywhere, a slow edge is known well.
        let between = JUMP / (1.0 + (fast * fast) / 4.0);
        let by_noise = self.sample * per_count;
        let passage = libm::hypot(PASSAGE * by_noise / libm::sqrt(self.smoothing), between);
        let both = if self.steady { 1.0 } else { core::f64::consts::SQRT_2 };
        let varies = match (found.doubts.period_varies, timing.period) {
            (Some(varies), Ok(period)) => varies * period,
            _ => 0.0,
        };
        let period = libm::hypot(PERIOD * both * passage / self.cycles, varies / self.cycles);
        let relative = |of: f64| timing.period.map_or(0.0, |period| of / period);
        // Widths refer to the middle level.
        let by_level = level * per_count;
        let many = libm::sqrt(self.cycles);
        let width = libm::hypot(core::f64::consts::SQRT_2 * passage / many, WIDTH_LEVEL * by_level);
        // At the outer references edges are slower, and nothing is smoothed.
        let duration = |value: Value| {
            value.map(|time| {
                let by_noise = DURATION_NOISE * by_noise / many;
                let by_level =
                    if self.amplitude > 0.0 { time * level / self.amplitude } else { 0.0 };
                let between = DURATION_BETWEEN / (1.0 + time * time / 16.0) / many;
                let shape = DURATION_SHAPE * time;
                libm::hypot(libm::hypot(by_noise, by_level), libm::hypot(between, shape))
            })
        };
        let of = |value: Value, sigma: f64| value.map(|_| sigma);
        Timing {
            interval: timing.interval,
            cycles: timing.cycles,
            period: of(timing.period, period),
            frequency: timing.frequency.map(|frequency| frequency * relative(period)),
            duty: of(timing.duty, relative(width)),
            positive_width: of(timing.positive_width, width),
            negative_width: of(timing.negative_width, width),
            rise_time: duration(timing.rise_time),
            fall_time: duration(timing.fall_time),
        }
    }
}

/// How far the outermost samples are beyond the means of their neighbours. What the true peak may
/// be beyond them is a part of that.
fn drops<T: Sample>(samples: &[T], rest: &Rest<T>) -> (f64, f64) {
    let StateLevels { low, high } = rest.levels;
    let (mut least, mut most) = ((high, 0.0), (low, 0.0));
    for three in samples.windows(3) {
        let Some(&[before, this, after]) = three.first_chunk::<3>() else { continue };
        if rest.within.key_within(this).is_none() {
            continue;
        }
        let x = real(this);
        if x < least.0 || x > most.0 {
            let beyond = x - f64::midpoint(real(before), real(after));
            if x < least.0 {
                least = (x, -beyond);
            }
            if x > most.0 {
                most = (x, beyond);
            }
        }
    }
    (least.1.max(0.0), most.1.max(0.0))
}

/// How noise and shape act. Chosen on the tuning cases of `tests/src/family/` so that 68 % of
/// errors are within one standard deviation.
const PEAK_NOISE: f64 = 0.5;
const PEAK_DROP: f64 = 0.17;
const REST_NOISE: f64 = 1.2;
const REST_SHAPE: f64 = 0.0005;
const PASSAGE: f64 = 0.8;
const PERIOD: f64 = 0.85;
const WIDTH_LEVEL: f64 = 0.75;
const MEAN_ROUNDING: f64 = 0.3;
const DURATION_NOISE: f64 = 2.0;
const DURATION_BETWEEN: f64 = 0.3;
const DURATION_SHAPE: f64 = 0.002;
