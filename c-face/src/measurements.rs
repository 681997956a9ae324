//! Measurements.

use stillwave::measure::{Measurements, Reason, Value};

/// The value is there.
pub const STILLWAVE_MEASURED: u32 = 0;
/// There is no sample.
pub const STILLWAVE_EMPTY: u32 = 1;
/// Samples lie at an end code of the converter, or beyond.
pub const STILLWAVE_CLIPPED: u32 = 2;
/// The samples do not show two levels that stand apart.
pub const STILLWAVE_ONE_LEVEL: u32 = 3;
/// No complete transition of the kind asked for.
pub const STILLWAVE_NO_TRANSITION: u32 = 4;
/// Transitions, but no complete cycle or pulse.
pub const STILLWAVE_NOT_ENOUGH_CYCLES: u32 = 5;
/// A transition is faster than the samples can show.
pub const STILLWAVE_TOO_FAST: u32 = 6;
/// Too few samples.
pub const STILLWAVE_TOO_SHORT: u32 = 7;
/// Another reason.
pub const STILLWAVE_OTHER_REASON: u32 = 8;

/// A measured value, or the reason why the record does not give one.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveValue {
    /// The value; not a number where there is none.
    pub number: f64,
    /// STILLWAVE_MEASURED, or why there is none.
    pub reason: u32,
}

impl From<Value> for StillwaveValue {
    fn from(value: Value) -> Self {
        let reason = match value {
            Ok(number) => return Self { number, reason: STILLWAVE_MEASURED },
            Err(Reason::Empty) => STILLWAVE_EMPTY,
            Err(Reason::Clipped) => STILLWAVE_CLIPPED,
            Err(Reason::OneLevel) => STILLWAVE_ONE_LEVEL,
            Err(Reason::NoTransition) => STILLWAVE_NO_TRANSITION,
            Err(Reason::NotEnoughCycles) => STILLWAVE_NOT_ENOUGH_CYCLES,
            Err(Reason::TooFast) => STILLWAVE_TOO_FAST,
            Err(Reason::TooShort) => STILLWAVE_TOO_SHORT,
            Err(_) => STILLWAVE_OTHER_REASON,
        };
        Self { number: f64::NAN, reason }
    }
}

/// What a record measures: levels in counts, times in samples.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveMeasurements {
    /// The number of samples.
    pub samples: u64,
    /// Complete cycles.
    pub cycles: u64,
    /// The smallest sample.
    pub minimum: StillwaveValue,
    /// The largest sample.
    pub maximum: StillwaveValue,
    /// Maximum less minimum.
    pub peak_to_peak: StillwaveValue,
    /// The mean of all samples.
    pub mean: StillwaveValue,
    /// The root of the mean square about the count 0.
    pub rms: StillwaveValue,
    /// The root of the mean square about the mean.
    pub ac_rms: StillwaveValue,
    /// The level of the low state.
    pub low: StillwaveValue,
    /// The level of the high state.
    pub high: StillwaveValue,
    /// High less low.
    pub amplitude: StillwaveValue,
    /// The mean period, in samples.
    pub period: StillwaveValue,
    /// 1 over the period, in cycles a sample.
    pub frequency: StillwaveValue,
    /// The share of a period that is high: 0 to 1.
    pub duty: StillwaveValue,
    /// The mean width of positive pulses, in samples.
    pub positive_width: StillwaveValue,
    /// The mean width of negative pulses, in samples.
    pub negative_width: StillwaveValue,
    /// The mean time from 10 to 90 % upwards, in samples.
    pub rise_time: StillwaveValue,
    /// The mean time from 90 to 10 % downwards, in samples.
    pub fall_time: StillwaveValue,
}

impl From<Measurements> for StillwaveMeasurements {
    fn from(found: Measurements) -> Self {
        let timing = found.timing;
        Self {
            samples: found.samples,
            cycles: timing.cycles,
            minimum: found.minimum.into(),
            maximum: found.maximum.into(),
            peak_to_peak: found.peak_to_peak.into(),
            mean: found.mean.into(),
            rms: found.rms.into(),
            ac_rms: found.ac_rms.into(),
            low: found.low.into(),
            high: found.high.into(),
            amplitude: found.amplitude.into(),
            period: timing.period.into(),
            frequency: timing.frequency.into(),
            duty: timing.duty.into(),
            positive_width: timing.positive_width.into(),
            negative_width: timing.negative_width.into(),
            rise_time: timing.rise_time.into(),
            fall_time: timing.fall_time.into(),
        }
    }
}
