//! An expectation drafted from a recording that is good.

use std::fmt::Write as _;

use stillwave::measure::Config;
use stillwave::{Instant, Record, RecordShape, Sample, Scale};

use crate::calibration::Calibration;
use crate::error::Error;
use crate::measured::{self, Measurer, QUANTITIES, Range, Ranges, Unit, usual};
use crate::quantity::{counted, format_si};

/// The quantities worth stating, where every record has them.
const STATED: [&str; 9] = [
    "low",
    "high",
    "frequency",
    "duty",
    "positive_width",
    "negative_width",
    "rise_time",
    "fall_time",
    "thd",
];

/// What is stated where there are no states.
const WITHOUT_STATES: [&str; 4] = ["minimum", "maximum", "mean", "rms"];

/// What a good signal may always be off by: a hundredth, of the swing for levels, of itself for
/// times.
const LEAST_TOLERANCE: f64 = 0.01;

/// The distortion that a good signal may always have.
const LEAST_DISTORTION: f64 = 1e-4;

/// How far the bounds of a mask stay away from the signal, as a part of its swing.
const DISTANCE: f64 = 0.04;

/// The most corners of a bound, that a person may still read and change them.
const MOST_CORNERS: usize = 80;

/// The corners of a bound, written: times and levels.
type Corners = Vec<(String, String)>;

/// What a good recording was like.
pub struct Draft<T> {
    calibration: Calibration,
    measurer: Measurer,
    /// A line on options that `check` needs too.
    measured_how: String,
    shape: RecordShape,
    quantities: Vec<Ranges>,
    /// The smallest and the largest sample at each place of a record.
    low: Vec<T>,
    high: Vec<T>,
    last_event: Option<Instant>,
    events: u64,
    apart: Ranges,
}

impl<T: Sample> Draft<T> {
    /// A draft of records of that shape, which are measured as configured.
    ///
    /// # Errors
    /// As [`Config::validated`].
    pub fn new(
        shape: RecordShape,
        calibration: &Calibration,
        config: Config,
    ) -> Result<Self, Error> {
        let measured_how = if config == measured::config(calibration) {
            String::new()
        } else {
            "\n# Measured by --states, --state-low, --state-high or --references: give check the same.\n\
             # (live --expect measures without them.)"
                .to_owned()
        };
        Ok(Self {
            measured_how,
            calibration: *calibration,
            measurer: Measurer::new(usual(), calibration, config)?.with_ranges(),
            shape,
            quantities: vec![Ranges::default(); QUANTITIES.len()],
            low: vec![T::MAX; shape.len()],
            high: vec![T::MIN; shape.len()],
            last_event: None,
            events: 0,
            apart: Ranges::default(),
        })
    }

    /// Takes the next event.
    pub fn event(&mut self, at: Instant) {
        self.events += 1;
        if let Some(last) = self.last_event.replace(at) {
            let samples = at.since(last).to_samples();
            let apart = self.calibration.rate.map_or(samples, |rate| samples / rate);
            self.apart.push(Ok(Range::of(apart)));
        }
    }

    /// Takes the next record's channel.
    pub fn record(&mut self, record: &Record<'_, T>, channel: usize) {
        let samples = record.channel(channel);
        let found = self.measurer.measure(samples);
        for (quantity, ranges) in QUANTITIES.iter().zip(&mut self.quantities) {
            ranges.push(quantity.range(&found));
        }
        for ((low, high), &x) in self.low.iter_mut().zip(&mut self.high).zip(samples) {
            *low = if x < *low { x } else { *low };
            *high = if x > *high { x } else { *high };
        }
    }

    /// The expectation as a file's text, for a recording called `source`; values may be off by
    /// `margin` more, as a part of what they were.
    pub fn text(&self, source: &str, margin: f64) -> String {
        let mut text = String::new();
        let records = self.quantities.first().map_or(0, |q| q.counts().0 + q.counts().1);
        let counted = counted(records, "record");
        let source = source.replace(|c: char| c.is_control(), " ");
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "# What the signal should be: drafted from {counted} of {source}.\n\
             # Correct it to what you know; leave out what does not matter.{}\n",
            self.measured_how
        );
        let swing =
            self.quantity("peak_to_peak").and_then(|(_, q)| q.total().ok()).map_or(0.0, |q| q.mean);
        let whole = if self.quantity("high").is_some() { &[] } else { &WITHOUT_STATES[..] };
        for key in whole.iter().chain(&STATED) {
            if let Some((unit, values)) = self.quantity(key)
                && let Some(limit) = match *key {
                    "thd" => self.distortion(values, margin),
                    _ => self.limit(unit, values, swing, margin),
                }
            {
                let _ = writeln!(text, "{key} = {limit}");
            }
        }
        let _ = writeln!(
            text,
            "\n[events]\n# In a recording of the same length:\n# count = {}",
            self.events
        );
        if let Some(limit) = self.limit(Unit::Time, &self.apart, swing, margin) {
            let _ = writeln!(text, "apart = {limit}");
        }
        let Some((bounds, is_whole)) = self.bounds(margin) else {
            let _ = writeln!(
                text,
                "\n# No mask: the records are too different for bounds to mean much."
            );
            return text;
        };
        let beyond = if is_whole {
            ""
        } else {
            "\n# Farther from it, the records are too different for bounds to mean much."
        };
        let _ = writeln!(text, "\n# Time from the trigger, and the bound there.{beyond}\n[mask]");
        for (name, corners) in ["upper", "lower"].iter().zip(bounds) {
            let _ = writeln!(text, "{name} = [");
            for (time, level) in corners {
                let _ = writeln!(text, "    [\"{time}\", \"{level}\"],");
            }
            let _ = writeln!(text, "]");
        }
        text
    }

    /// The values of a quantity that every record has.
    fn quantity(&self, key: &str) -> Option<(Unit, &Ranges)> {
        let index = crate::measured::find(key)?;
        let values = self.quantities.get(index)?;
        matches!(values.counts(), (1.., 0))
            .then(|| (QUANTITIES.get(index).map_or(Unit::Ratio, |q| q.unit), values))
    }

    /// Distortion has no nominal value: less is better.
    fn distortion(&self, values: &Ranges, margin: f64) -> Option<String> {
        let greatest = values.total().ok()?.greatest;
        // As for others, with a floor for what a good signal may always have.
        let most = (greatest * 1.06 * (1.0 + margin)).max(LEAST_DISTORTION);
        Some(format!("{{ at_most = \"{}\" }}", self.written(Unit::Fraction, most, most / 10.0)))
    }

    fn limit(&self, unit: Unit, values: &Ranges, swing: f64, margin: f64) -> Option<String> {
        let Range { least, mean, greatest } = values.total().ok()?;
        if self.calibration.rate.is_none() && unit == Unit::Frequency {
            return None;
        }
        let floor = LEAST_TOLERANCE
            * match unit {
                Unit::Level | Unit::Difference => swing,
                Unit::Fraction => 1.0,
                _ => mean.abs(),
            };
        // A little more, for the digits that are left out.
        let off = 1.06 * (1.0 + margin) * (greatest - mean).max(mean - least).max(floor);
        let nominal = self.written(unit, mean, off);
        let off_unit = if unit == Unit::Level { Unit::Difference } else { unit };
        Some(format!(
            "{{ nominal = \"{nominal}\", tolerance = \"{}\" }}",
            self.written(off_unit, off, off)
        ))
    }

    /// A value with the digits that a tolerance leaves it.
    fn written(&self, unit: Unit, value: f64, tolerance: f64) -> String {
        let digits = if tolerance > 0.0 && value != 0.0 {
            (value.abs() / tolerance).log10().floor().max(0.0) as usize + 3
        } else {
            4
        };
        let digits = digits.clamp(2, 15);
        let places = (2.0 - tolerance.abs().max(1e-12).log10().floor()).clamp(0.0, 12.0) as usize;
        let (volts, seconds) = (self.calibration.scale.is_some(), self.calibration.rate.is_some());
        match unit {
            Unit::Level | Unit::Difference if volts => format_si(value, "V", digits),
            Unit::Time if seconds => format_si(value, "s", digits),
            Unit::Time => format!("{value:.places$} sa"),
            Unit::Frequency => format_si(value, "Hz", digits),
            Unit::Fraction => format!("{:.*} %", places.saturating_sub(2), value * 100.0),
            _ => format!("{value:.places$}"),
        }
    }

    /// The corners of the upper and of the lower bound, written, as far from the trigger as the
    /// bounds bind; and whether that is the whole record.
    fn bounds(&self, margin: f64) -> Option<([Corners; 2], bool)> {
        let scale = self.calibration.scale.unwrap_or(Scale::VOLTS);
        let volts = |x: &T| scale.volts(T::wide_to_f64(x.widen()));
        let (mut low, mut high): (Vec<f64>, Vec<f64>) =
            (self.low.iter().map(volts).collect(), self.high.iter().map(volts).collect());
        if self.calibration.inverts() {
            std::mem::swap(&mut low, &mut high);
        }
        let least = low.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = high.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if least > greatest || low.len() < 2 {
            return None;
        }
        let binding = binding(&low, &high, greatest - least, self.shape.pre)?;
        let is_whole = binding == (0..low.len());
        // The signal may come a little earlier or later. A sample may lie up to one before its
        // place, so that one more each way is needed at least.
        let reach = 2.max(low.len() / 200);
        let step = scale.volts_per_count.abs();
        let flat = if self.calibration.codes.is_some() {
            2.0 * step
        } else {
            f64::MIN_POSITIVE.max(greatest.abs() * 1e-6)
        };
        let distance = (1.0 + margin) * (DISTANCE * (greatest - least)).max(flat);
        let mirrored: Vec<f64> = low.iter().map(|x| -x).collect();
        let from = binding.start;
        let bound =
            |values: &[f64]| widened(values, reach).get(binding.clone()).unwrap_or(&[]).to_vec();
        let upper = self.corners(&bound(&high), from, distance, 1.0);
        let lower = self.corners(&bound(&mirrored), from, distance, -1.0);
        Some(([upper, lower], is_whole))
    }

    /// A line that stays `distance` above a bound, in few corners; times `sign` when written. The
    /// bound begins at sample `from` of a record.
    fn corners(&self, bound: &[f64], from: usize, distance: f64, sign: f64) -> Corners {
        // Half of the distance is spent on leaving out corners.
        let mut off = distance / 2.0;
        let mut kept = simplified(bound, off);
        while kept.len() > MOST_CORNERS {
            off *= 1.5;
            kept = simplified(bound, off);
        }
        let digits = 3 + self.shape.len().ilog10() as usize;
        let write = |index: usize| {
            let samples = (from + index) as f64 - self.shape.pre as f64;
            let time = match self.calibration.rate {
                Some(rate) => format_si(samples / rate, "s", digits),
                None => format!("{samples} sa"),
            };
            let level = sign * (bound.get(index).copied().unwrap_or(0.0) + off + distance / 2.0);
            (time, self.written(Unit::Level, level, distance))
        };
        kept.into_iter().map(write).collect()
    }
}

/// The part of a record around the trigger in which bounds bind: there, at most half of the samples
/// of a stretch of a fiftieth of the record vary by more than half of the signal's `range`. Far
/// from the trigger a period that varies, or one that is not the trigger's, makes bounds that let
/// anything pass. `None` where they bind nowhere.
fn binding(
    low: &[f64],
    high: &[f64],
    range: f64,
    trigger: usize,
) -> Option<std::ops::Range<usize>> {
    const FEWEST: usize = 8;
    let varies: Vec<bool> =
        low.iter().zip(high).map(|(low, high)| high - low > range / 2.0).collect();
    let stretch = (varies.len() / 50).max(FEWEST);
    let trigger = trigger.min(varies.len());
    let (before, after) = varies.split_at(trigger);
    // How many from the trigger on, in one direction.
    let reach = |varies: &mut dyn Iterator<Item = bool>| {
        let (mut ahead, mut count, mut binding) = (std::collections::VecDeque::new(), 0, 0);
        for (index, varies) in varies.enumerate() {
            ahead.push_back(varies);
            count += usize::from(varies);
            if ahead.len() > stretch {
                count -= usize::from(ahead.pop_front() == Some(true));
            }
            if 2 * count > ahead.len() && ahead.len() == stretch {
                return binding.min(index + 1 - stretch);
            }
            binding = index + 1;
        }
        binding
    };
    let binding = trigger - reach(&mut before.iter().rev().copied())
        ..trigger + reach(&mut after.iter().copied());
    (binding.len() >= FEWEST).then_some(binding)
}

/// The largest of each value and its `reach` neighbours on either side.
fn widened(values: &[f64], reach: usize) -> Vec<f64> {
    // Candidates, falling: those that a larger later one has not made useless.
    let mut candidates = std::collections::VecDeque::new();
    let mut widened = Vec::with_capacity(values.len());
    for end in 0..values.len() + reach {
        if let Some(&value) = values.get(end) {
            while candidates.back().is_some_and(|&(_, last)| last <= value) {
                candidates.pop_back();
            }
            candidates.push_back((end, value));
        }
        let Some(middle) = end.checked_sub(reach) else { continue };
        while candidates.front().is_some_and(|&(index, _)| index + reach < middle) {
            candidates.pop_front();
        }
        widened.push(candidates.front().map_or(f64::NAN, |&(_, value)| value));
    }
    widened
}

/// The places of a line's corners, such that it passes every value within `off`. (Douglas and
/// Peucker, 1973, with vertical distances; from memory.)
fn simplified(values: &[f64], off: f64) -> Vec<usize> {
    let last = values.len() - 1;
    let mut kept = vec![0, last];
    let mut stretches = vec![(0, last)];
    while let Some((from, to)) = stretches.pop() {
        let (Some(&a), Some(&b)) = (values.get(from), values.get(to)) else { continue };
        let slope = (b - a) / (to - from).max(1) as f64;
        let inner = values.iter().enumerate().take(to).skip(from + 1);
        let distance = |(index, value): (usize, &f64)| {
            (index, (value - (a + slope * (index - from) as f64)).abs())
        };
        let worst = inner.map(distance).max_by(|(_, a), (_, b)| a.total_cmp(b));
        if let Some((index, distance)) = worst
            && distance > off
        {
            kept.push(index);
            stretches.push((from, index));
            stretches.push((index, to));
        }
    }
    kept.sort_unstable();
    kept
}

#[cfg(test)]
mod tests {
    use super::{binding, simplified, widened};

    #[test]
    fn bounds_bind_where_records_are_alike() {
        // The band grows away from the trigger at 300, until it is all of the range.
        let band = |i: i32| f64::from((i - 300).abs()) / 200.0;
        let high: Vec<f64> = (0..1000).map(|i| band(i).min(1.0)).collect();
        let low: Vec<f64> = high.iter().map(|x| -x).collect();
        let found = binding(&low, &high, 2.0, 300).unwrap();
        assert!(
            (200..=220).contains(&found.start) && (380..=400).contains(&found.end),
            "{found:?}"
        );
        let alike = [0.0; 500];
        assert_eq!(binding(&alike, &alike, 2.0, 100), Some(0..500));
        let (low, high) = ([-1.0; 500], [1.0; 500]);
        assert_eq!(binding(&low, &high, 2.0, 100), None);
    }

    #[test]
    fn widening_is_the_maximum_of_neighbours() {
        let values = [1.0, 5.0, 2.0, 0.0, 0.0, 0.0, 3.0];
        assert_eq!(widened(&values, 1), [5.0, 5.0, 5.0, 2.0, 0.0, 3.0, 3.0]);
        assert_eq!(widened(&values, 2), [5.0, 5.0, 5.0, 5.0, 3.0, 3.0, 3.0]);
    }

    #[test]
    fn few_corners_pass_every_value() {
        let sine: Vec<f64> = (0..1000).map(|i| (f64::from(i) * 0.02).sin()).collect();
        let corners = simplified(&sine, 0.05);
        assert!(corners.len() < 40, "{}", corners.len());
        for pair in corners.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            for index in from..=to {
                let part = (index - from) as f64 / (to - from) as f64;
                let line = sine[from] + part * (sine[to] - sine[from]);
                assert!((line - sine[index]).abs() <= 0.05 + 1e-12);
            }
        }
    }
}
