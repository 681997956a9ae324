//! What is true of a signal, as far as its samples can show it.

use super::shape::Shape;

/// Points of a cycle where a shape is looked at.
const POINTS: usize = 4096;

/// What is true of a signal; what has no truth is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Truth {
    /// High less low, in counts: from what the samples show of it to what it is. Where a signal
    /// rests both are one; its peaks may lie between two samples.
    pub amplitude: Option<(f64, f64)>,
    /// From 0 to 1.
    pub duty: Option<f64>,
    /// From 10 to 90 %, in samples.
    pub rise: Option<f64>,
    /// In cycles a sample.
    pub frequency: Option<f64>,
    /// The mean of the record without noise, in counts.
    pub mean: Option<f64>,
    /// The RMS about it.
    pub ac_rms: Option<f64>,
}

/// A shape as it was sampled, without noise.
pub(super) struct View<'a> {
    pub(super) shape: &'a Shape,
    pub(super) volts: &'a [f64],
    /// Samples in a cycle.
    pub(super) period: f64,
    /// The time of the first sample, in cycles.
    pub(super) start: f64,
    /// In parts of the amplitude.
    pub(super) noise: f64,
}

impl View<'_> {
    /// The true low and high.
    pub(super) fn levels(&self) -> (f64, f64) {
        if let Some(states) = self.shape.states {
            return states;
        }
        if self.shape.periodic {
            return extremes((0..POINTS).map(|i| (self.shape.volts)(i as f64 / POINTS as f64)));
        }
        // Over the record, a few times as finely as it was sampled.
        let count = self.volts.len() * 8 - 7;
        let at = |i: usize| (self.shape.volts)(self.start + i as f64 / 8.0 / self.period);
        extremes((0..count).map(at))
    }

    pub(super) fn truth(&self, scale: f64, zero: f64) -> Truth {
        let (low, high) = self.levels();
        let amplitude = high - low;
        let (least, most) = extremes(self.volts.iter().copied());
        let shown = (most - least).min(amplitude);
        // A record that lacks one of the two levels does not show the amplitude; one sample is no
        // level.
        let near = |level: f64, part: f64| {
            self.volts.iter().filter(|v| (*v - level).abs() < part * amplitude).count() as f64
        };
        if near(low, 0.1).min(near(high, 0.1)) < 2.0 || shown < 0.8 * amplitude {
            return Truth::default();
        }
        // Even the means of all samples that are nearer to the levels than what is called wrong
        // would have an error of noise: three of its deviations are no more than that.
        let error = (1.0 / near(low, 0.03) + 1.0 / near(high, 0.03)).sqrt() * self.noise;
        let is_known = self.noise <= 0.0 || 3.0 * error < 0.03;
        let from = if self.shape.states.is_some() { amplitude } else { shown };
        let (ups, downs, first_is_up) = self.transitions(low, high);
        let cycles = if first_is_up { ups } else { downs }.saturating_sub(1) as f64;
        // Where the signal jumps, an instant is known to a sample: to 1 % of the time measured, and
        // a width to 2 % of a period.
        let frequency = cycles >= 1.0 && (!self.jumps() || cycles * self.period >= 100.0);
        let middle_is_even = f64::midpoint(low, high).abs() < 0.02 * amplitude;
        let duty = cycles >= 1.0
            && self.shape.duty
            && (!self.jumps() || self.period >= 50.0)
            && (self.shape.periodic || middle_is_even);
        let count = self.volts.len() as f64;
        let mean = self.volts.iter().sum::<f64>() / count;
        let variance = self.volts.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / count;
        // Duty and rise refer to levels, so they are no better known.
        let shows_levels = shown > 0.97 * amplitude && is_known;
        Truth {
            amplitude: is_known.then_some((from * scale, amplitude * scale)),
            duty: (duty && shows_levels).then(|| self.duty(low, high)),
            rise: if ups > 0 && shows_levels { self.rise(low, high) } else { None },
            frequency: frequency.then(|| 1.0 / self.period),
            mean: (self.shape.spikes == 0).then_some(mean * scale + zero),
            ac_rms: (self.shape.spikes == 0).then(|| variance.sqrt() * scale),
        }
    }

    /// Passes the middle so fast that one sample or none sees it.
    fn jumps(&self) -> bool {
        self.shape.edge * self.period < 2.0
    }

    /// How often the samples go up and down, well from the record's ends, and whether they go up
    /// first.
    fn transitions(&self, low: f64, high: f64) -> (usize, usize, bool) {
        // What is modulated reaches a part of its amplitude alone.
        let reach = if self.shape.periodic { 0.35 } else { 0.12 };
        let (middle, reach) = (f64::midpoint(low, high), reach * (high - low));
        let inner = self.volts.get(2..self.volts.len() - 2).unwrap_or(&[]);
        let (mut ups, mut downs, mut side, mut first_is_up) = (0, 0, None, false);
        for v in inner {
            let now = if *v > middle + reach {
                true
            } else if *v < middle - reach {
                false
            } else {
                continue;
            };
            if side.replace(now).is_some_and(|before| before != now) {
                first_is_up = if ups + downs == 0 { now } else { first_is_up };
                *(if now { &mut ups } else { &mut downs }) += 1;
            }
        }
        (ups, downs, first_is_up)
    }

    /// How much of a cycle the shape is over its middle.
    fn duty(&self, low: f64, high: f64) -> f64 {
        if !self.shape.periodic {
            return 0.5;
        }
        let middle = f64::midpoint(low, high);
        let above = (0..POINTS)
            .map(|i| (self.shape.volts)((i as f64 + 0.5) / POINTS as f64))
            .map(|v| if v == middle { 0.5 } else { f64::from(u8::from(v > middle)) });
        above.sum::<f64>() / POINTS as f64
    }

    /// From 10 to 90 %, in samples, where that is three samples or more and does not depend on the
    /// very levels.
    fn rise(&self, low: f64, high: f64) -> Option<f64> {
        if !self.shape.periodic {
            return None;
        }
        let [outer, rise, inner] = [0.08, 0.1, 0.12].map(|part| self.rise_between(low, high, part));
        let (outer, rise, inner) = (outer?, rise?, inner?);
        // A jump is known to a sample at either end.
        let least = if self.jumps() { 12.0 } else { 3.0 };
        let is_firm = outer - inner < 0.35 * rise && rise * self.period >= least;
        is_firm.then_some(rise * self.period)
    }

    /// From a part of the amplitude over the low to as much under the high, in cycles.
    fn rise_between(&self, low: f64, high: f64, part: f64) -> Option<f64> {
        let volts = |i: usize| (self.shape.volts)(i as f64 / POINTS as f64);
        let at = |fraction: f64| low + fraction * (high - low);
        // From where it is low, up through the middle.
        let start = (0..POINTS).find(|&i| volts(i) < at(0.1))?;
        let middle = (start..start + POINTS).find(|&i| volts(i) >= at(0.5))?;
        let begin = (start..middle).rev().find(|&i| volts(i) <= at(part)).unwrap_or(start);
        let end = (middle..middle + POINTS).find(|&i| volts(i) >= at(1.0 - part))?;
        let inside = |i: usize, level: f64| {
            let (a, b) = (volts(i), volts(i + 1));
            i as f64 + if b > a { ((level - a) / (b - a)).clamp(0.0, 1.0) } else { 0.0 }
        };
        let (begin, end) = (inside(begin, at(part)), inside(end - 1, at(1.0 - part)));
        Some((end - begin) / POINTS as f64)
    }
}

fn extremes(volts: impl Iterator<Item = f64>) -> (f64, f64) {
    volts.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)))
}
