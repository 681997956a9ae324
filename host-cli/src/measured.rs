//! All that is measured of a record, by name: for tables, files, expectations and histograms.

use std::borrow::Cow;

use stillwave::measure::{
    Config, Distortion, Doubt, EdgeShape, Factors, Measure, Measurements, Meter, Reason,
    References, Running, Spread, Statistics, Timing, Uncertainty, Value, Window,
};
use stillwave::{Sample, Slope};

use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::format_si;
use crate::transform::Transformer;

/// One measured quantity.
pub struct Quantity {
    /// Its key in JSON, CSV and expectations.
    pub key: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// What it is measured in.
    pub unit: Unit,
    /// What must be looked at for it.
    pass: Pass,
    /// Its value.
    pub of: fn(&Found) -> Value,
    /// What it is among the basic measurements, of which doubts and uncertainty are known.
    basic: Option<Measure>,
    /// Of a mean over the cycles of a record: the same of the shortest or the longest of them.
    cycle: Option<fn(&Timing) -> Value>,
}

/// What is looked at; each costs passes over the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pass {
    /// The basic measurements.
    Basic,
    /// The shapes of transitions and of the whole.
    Shape,
    /// The shortest and longest times, and what whole cycles come to.
    Cycles,
    /// The spectrum.
    Spectrum,
}

/// What a quantity is measured in; each has its own way to be written and read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Volts, or counts where their scale is not known.
    Level,
    /// A difference of levels.
    Difference,
    /// Seconds, or samples.
    Time,
    /// Hertz, or cycles a sample.
    Frequency,
    /// A part of a whole.
    Fraction,
    /// How many.
    Count,
    /// A ratio to something of the same kind.
    Ratio,
    /// Volts a second, or as far as they are known.
    Slew,
    /// Decibels.
    Decibels,
}

const fn quantity(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { key, name, unit, pass: Pass::Basic, of, basic: None, cycle: None }
}

/// One of the basic measurements.
const fn basic(
    (key, name, unit): (&'static str, &'static str, Unit),
    measure: Measure,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { basic: Some(measure), ..quantity(key, name, unit, of) }
}

/// A mean over the cycles of a record.
const fn timing(
    what: (&'static str, &'static str, Unit),
    measure: Measure,
    of: fn(&Found) -> Value,
    cycle: fn(&Timing) -> Value,
) -> Quantity {
    Quantity { cycle: Some(cycle), ..basic(what, measure, of) }
}

const fn cycles(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { pass: Pass::Cycles, ..quantity(key, name, unit, of) }
}

const fn shape(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { pass: Pass::Shape, ..quantity(key, name, unit, of) }
}

const fn spectral(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { pass: Pass::Spectrum, ..quantity(key, name, unit, of) }
}

/// How many of [`QUANTITIES`] are shown unless all are asked for.
const USUAL: usize = 18;

/// All quantities, in the order in which they are shown; the usual ones first.
pub const QUANTITIES: [Quantity; USUAL + 22] = [
    basic(("minimum", "minimum", Unit::Level), Measure::Minimum, |f| f.basic.minimum),
    basic(("maximum", "maximum", Unit::Level), Measure::Maximum, |f| f.basic.maximum),
    basic(("peak_to_peak", "peak to peak", Unit::Difference), Measure::PeakToPeak, |f| {
        f.basic.peak_to_peak
    }),
    basic(("mean", "mean", Unit::Level), Measure::Mean, |f| f.basic.mean),
    basic(("rms", "RMS", Unit::Difference), Measure::Rms, |f| f.basic.rms),
    basic(("ac_rms", "AC RMS", Unit::Difference), Measure::AcRms, |f| f.basic.ac_rms),
    basic(("low", "low state", Unit::Level), Measure::Low, |f| f.basic.low),
    basic(("high", "high state", Unit::Level), Measure::High, |f| f.basic.high),
    basic(("amplitude", "amplitude", Unit::Difference), Measure::Amplitude, |f| f.basic.amplitude),
    timing(
        ("period", "period", Unit::Time),
        Measure::Period,
        |f| f.basic.timing.period,
        |t| t.period,
    ),
    timing(
        ("frequency", "frequency", Unit::Frequency),
        Measure::Frequency,
        |f| f.basic.timing.frequency,
        |t| t.frequency,
    ),
    timing(("duty", "duty", Unit::Fraction), Measure::Duty, |f| f.basic.timing.duty, |t| t.duty),
    timing(
        ("positive_width", "positive width", Unit::Time),
        Measure::PositiveWidth,
        |f| f.basic.timing.positive_width,
        |t| t.positive_width,
    ),
    timing(
        ("negative_width", "negative width", Unit::Time),
        Measure::NegativeWidth,
        |f| f.basic.timing.negative_width,
        |t| t.negative_width,
    ),
    timing(
        ("rise_time", "rise 10-90 %", Unit::Time),
        Measure::RiseTime,
        |f| f.basic.timing.rise_time,
        |t| t.rise_time,
    ),
    timing(
        ("fall_time", "fall 10-90 %", Unit::Time),
        Measure::FallTime,
        |f| f.basic.timing.fall_time,
        |t| t.fall_time,
    ),
    quantity("cycles", "cycles", Unit::Count, |f| Ok(f.basic.timing.cycles as f64)),
    spectral("thd", "THD", Unit::Fraction, |f| f.distortion()?.thd),
    cycles("cycle_mean", "mean of cycles", Unit::Level, |f| Ok(f.cycles()?.whole?.mean)),
    cycles("cycle_rms", "RMS of cycles", Unit::Difference, |f| Ok(f.cycles()?.whole?.rms)),
    cycles("shortest_period", "shortest period", Unit::Time, |f| f.shortest()?.period),
    cycles("longest_period", "longest period", Unit::Time, |f| f.longest()?.period),
    cycles("shortest_positive_width", "shortest positive", Unit::Time, |f| {
        f.shortest()?.positive_width
    }),
    cycles("longest_positive_width", "longest positive", Unit::Time, |f| {
        f.longest()?.positive_width
    }),
    cycles("shortest_negative_width", "shortest negative", Unit::Time, |f| {
        f.shortest()?.negative_width
    }),
    cycles("longest_negative_width", "longest negative", Unit::Time, |f| {
        f.longest()?.negative_width
    }),
    shape("rise_overshoot", "rise overshoot", Unit::Fraction, |f| f.rise()?.overshoot),
    shape("rise_undershoot", "rise undershoot", Unit::Fraction, |f| f.rise()?.undershoot),
    shape("rise_preshoot", "rise preshoot", Unit::Fraction, |f| f.rise()?.preshoot),
    shape("rise_settling", "rise settling", Unit::Time, |f| f.rise()?.settling),
    shape("rise_slew", "rise slew rate", Unit::Slew, |f| f.rise()?.slew_rate),
    shape("fall_overshoot", "fall overshoot", Unit::Fraction, |f| f.fall()?.overshoot),
    shape("fall_undershoot", "fall undershoot", Unit::Fraction, |f| f.fall()?.undershoot),
    shape("fall_preshoot", "fall preshoot", Unit::Fraction, |f| f.fall()?.preshoot),
    shape("fall_settling", "fall settling", Unit::Time, |f| f.fall()?.settling),
    shape("fall_slew", "fall slew rate", Unit::Slew, |f| f.fall()?.slew_rate),
    shape("crest", "crest factor", Unit::Ratio, |f| Ok(f.shape()?.factors?.crest)),
    shape("form", "form factor", Unit::Ratio, |f| Ok(f.shape()?.factors?.form)),
    spectral("sinad", "SINAD", Unit::Decibels, |f| f.distortion()?.sinad),
    spectral("snr", "SNR", Unit::Decibels, |f| f.distortion()?.snr),
];

impl Quantity {
    /// Why it has no value, for people.
    pub fn why(&self, reason: Reason) -> String {
        if self.pass == Pass::Spectrum { why_no_tone(reason) } else { reason.to_string() }
    }

    /// Its name for people, where rise and fall are timed between these references.
    pub fn name_at(&self, References { low, high, .. }: References) -> Cow<'static, str> {
        match self.basic {
            Some(Measure::RiseTime | Measure::FallTime) => {
                let (low, high) = (low * 100.0, high * 100.0);
                // In whole percent where they are: 0.1 · 100 is not quite 10.
                let part = |x: f64| {
                    format!("{x:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
                };
                self.name.replace("10-90", &format!("{}-{}", part(low), part(high))).into()
            }
            _ => self.name.into(),
        }
    }

    /// Whether its uncertainty may be known.
    pub fn has_sigma(&self) -> bool {
        self.basic.is_some()
    }

    /// What is doubtful about its value in a record.
    pub fn doubts(&self, found: &Found) -> impl Iterator<Item = Doubt> {
        let doubts = found.basic.doubts;
        self.basic.into_iter().flat_map(move |measure| doubts.about(measure))
    }

    /// The standard uncertainty of its value in a record; of a level, as of a difference.
    ///
    /// # Errors
    /// [`Reason::Empty`] where it is not known or was not asked for; as its value.
    pub fn sigma(&self, found: &Found) -> Value {
        let (Some(measure), Some(uncertainty)) = (self.basic, &found.uncertainty) else {
            return Err(Reason::Empty);
        };
        uncertainty.of(measure)
    }

    /// What it is in a record: from cycle to cycle, where it is a mean over them.
    ///
    /// # Errors
    /// As its value.
    pub fn range(&self, found: &Found) -> Result<Range, Reason> {
        let mean = match ((self.of)(found), &found.distortion) {
            // It is known to be somewhere below the noise.
            (Err(Reason::BelowNoise), Some(Ok(distortion))) => {
                let greatest = distortion.thd_at_most;
                return Ok(Range { least: 0.0, mean: greatest / 2.0, greatest });
            }
            (value, _) => value?,
        };
        match (self.cycle, &found.cycles) {
            (Some(of), Some(Cycles { spread, .. })) => {
                let (a, b) = (of(&spread.shortest)?, of(&spread.longest)?);
                Ok(Range { least: a.min(b), mean, greatest: a.max(b) })
            }
            _ => Ok(Range::of(mean)),
        }
    }
}

/// What a quantity is in a record: its mean, and from where to where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The least.
    pub least: f64,
    /// The mean.
    pub mean: f64,
    /// The greatest.
    pub greatest: f64,
}

impl Range {
    /// Of one value.
    pub fn of(value: f64) -> Self {
        Self { least: value, mean: value, greatest: value }
    }
}

/// What a quantity comes to over records: the mean of their means, and the ends of all.
#[derive(Debug, Clone, Default)]
pub struct Ranges {
    means: Running,
    ends: Running,
}

impl Ranges {
    /// Takes the next record's.
    pub fn push(&mut self, range: Result<Range, Reason>) {
        self.means.push(range.map(|range| range.mean));
        if let Ok(Range { least, greatest, .. }) = range {
            self.ends.push(Ok(least));
            self.ends.push(Ok(greatest));
        }
    }

    /// How many there were, and how many records had none.
    pub fn counts(&self) -> (u64, u64) {
        (self.means.count(), self.means.missing())
    }

    /// The least, the mean of all means and the greatest.
    ///
    /// # Errors
    /// [`Reason::Empty`] where there was none.
    pub fn total(&self) -> Result<Range, Reason> {
        let (least, greatest) = (self.ends.minimum()?, self.ends.maximum()?);
        Ok(Range { least, mean: self.means.mean()?, greatest })
    }
}

/// Why a spectrum has no tone, for people.
pub fn why_no_tone(reason: Reason) -> String {
    match reason {
        // There may be whole ones: how many it takes is the window's matter.
        Reason::NotEnoughCycles => "too few cycles for a spectrum: use a longer --post".to_owned(),
        reason => reason.to_string(),
    }
}

/// A doubt about a value, for people.
pub fn doubt_in_words(doubt: Doubt, calibration: &Calibration) -> String {
    match doubt {
        Doubt::ThirdLevel(level) => {
            format!("rests at a third level, about {}", Unit::Level.show(level, calibration))
        }
        doubt => doubt.to_string(),
    }
}

/// What doubts of one kind have in common, whatever their numbers.
pub fn kind_of_doubt(doubt: Doubt) -> String {
    match doubt {
        Doubt::LeftOut(_) => "samples stand apart and are left out".to_owned(),
        Doubt::ThirdLevel(_) => "rests at a third level".to_owned(),
        Doubt::PeriodVaries(_) => "varies through the record".to_owned(),
        doubt => doubt.to_string(),
    }
}

/// Those that are shown unless all are asked for.
pub fn usual() -> &'static [Quantity] {
    QUANTITIES.get(..USUAL).unwrap_or(&QUANTITIES)
}

/// The quantity of that key, by its place among [`QUANTITIES`].
pub fn find(key: &str) -> Option<usize> {
    QUANTITIES.iter().position(|quantity| quantity.key == key)
}

/// What was measured of a record, in volts and seconds as far as they are known.
pub struct Found {
    /// The basic measurements.
    pub basic: Measurements,
    uncertainty: Option<Uncertainty>,
    shape: Option<Shape>,
    cycles: Option<Cycles>,
    distortion: Option<Result<Distortion, Reason>>,
}

struct Cycles {
    spread: Spread,
    whole: Result<Statistics, Reason>,
}

struct Shape {
    rise: EdgeShape,
    fall: EdgeShape,
    factors: Result<Factors, Reason>,
}

impl Found {
    // What was not asked for was not measured.
    fn shape(&self) -> Result<&Shape, Reason> {
        self.shape.as_ref().ok_or(Reason::Empty)
    }

    fn cycles(&self) -> Result<&Cycles, Reason> {
        self.cycles.as_ref().ok_or(Reason::Empty)
    }

    fn shortest(&self) -> Result<&Timing, Reason> {
        self.cycles().map(|cycles| &cycles.spread.shortest)
    }

    fn longest(&self) -> Result<&Timing, Reason> {
        self.cycles().map(|cycles| &cycles.spread.longest)
    }

    fn rise(&self) -> Result<&EdgeShape, Reason> {
        self.shape().map(|shape| &shape.rise)
    }

    fn fall(&self) -> Result<&EdgeShape, Reason> {
        self.shape().map(|shape| &shape.fall)
    }

    fn distortion(&self) -> Result<Distortion, Reason> {
        self.distortion.unwrap_or(Err(Reason::Empty))
    }
}

/// Measures the records of one channel.
pub struct Measurer {
    meter: Meter,
    calibration: Calibration,
    uncertainty: bool,
    shape: bool,
    cycles: bool,
    spectrum: Option<Transformer>,
}

/// How records of a calibration are measured where nothing else is said.
pub fn config(calibration: &Calibration) -> Config {
    Config { end_codes: calibration.codes, ..Config::default() }
}

impl Measurer {
    /// A measurer of what these quantities need, as configured in counts.
    ///
    /// # Errors
    /// As [`Config::validated`].
    pub fn new<'q>(
        quantities: impl IntoIterator<Item = &'q Quantity>,
        calibration: &Calibration,
        config: Config,
    ) -> Result<Self, Error> {
        let (mut shape, mut cycles, mut spectrum) = (false, false, false);
        for quantity in quantities {
            shape |= quantity.pass == Pass::Shape;
            cycles |= quantity.pass == Pass::Cycles;
            spectrum |= quantity.pass == Pass::Spectrum;
        }
        Ok(Self {
            meter: Meter::new(config)?,
            calibration: *calibration,
            uncertainty: false,
            shape,
            cycles,
            spectrum: spectrum.then(|| Transformer::new(Window::BlackmanHarris)),
        })
    }

    /// The same, for the range of every quantity too.
    #[must_use]
    pub fn with_ranges(self) -> Self {
        Self { cycles: true, ..self }
    }

    /// The same, with the uncertainty of the basic measurements.
    #[must_use]
    pub fn with_uncertainty(self) -> Self {
        Self { uncertainty: true, ..self }
    }

    /// Measures a record.
    pub fn measure<T: Sample>(&mut self, samples: &[T]) -> Found {
        let counts = self.meter.measure(samples);
        let basic = calibrated(&counts, &self.calibration);
        let uncertainty = self.uncertainty.then(|| {
            let uncertainty = self.meter.uncertainty(samples, &counts);
            let Calibration { scale, rate, .. } = self.calibration;
            let uncertainty = scale.map_or(uncertainty, |scale| uncertainty.scaled(scale));
            rate.and_then(|rate| uncertainty.timed(rate).ok()).unwrap_or(uncertainty)
        });
        let distortion = self.spectrum.as_mut().map(|transformer| {
            // The voltage beyond an end code may be anything.
            match basic.peak_to_peak {
                Err(reason) => Err(reason),
                Ok(_) => transformer.spectrum(samples)?.distortion(),
            }
        });
        Found {
            basic,
            uncertainty,
            shape: self.shape.then(|| self.shape(samples, basic.peak_to_peak)),
            cycles: self.cycles.then(|| self.cycles(samples)),
            distortion,
        }
    }

    fn cycles<T: Sample>(&self, samples: &[T]) -> Cycles {
        let (spread, whole) = (self.meter.spread(samples), self.meter.over_cycles(samples));
        let (spread, whole) = match self.calibration.scale {
            Some(scale) => (spread.scaled(scale), whole.map(|whole| whole.scaled(scale))),
            None => (spread, whole),
        };
        let timed = self.calibration.rate.and_then(|rate| spread.timed(rate).ok());
        Cycles { spread: timed.unwrap_or(spread), whole }
    }

    /// The shapes of samples that have this extent, or none.
    fn shape<T: Sample>(&self, samples: &[T], extent: Value) -> Shape {
        let calibration = &self.calibration;
        let shape = |slope| {
            let shape = self.meter.edge_shape(samples, slope);
            let shape = calibration.scale.map_or(shape, |scale| shape.scaled(scale));
            calibration.rate.and_then(|rate| shape.timed(rate).ok()).unwrap_or(shape)
        };
        let (mut rise, mut fall) = (shape(Slope::Rising), shape(Slope::Falling));
        if calibration.inverts() {
            std::mem::swap(&mut rise, &mut fall);
        }
        let zero = calibration.scale.map_or(0.0, |scale| scale.zero);
        Shape { rise, fall, factors: extent.and_then(|_| Factors::of(samples, zero)) }
    }
}

/// Counts in volts and samples in seconds, as far as they are known.
fn calibrated(&measurements: &Measurements, calibration: &Calibration) -> Measurements {
    let measurements = match calibration.scale {
        Some(scale) => measurements.scaled(scale),
        None => measurements,
    };
    // A rate that could not be would have been refused before.
    calibration.rate.and_then(|rate| measurements.timed(rate).ok()).unwrap_or(measurements)
}

impl Unit {
    /// A difference of values, or how uncertain one is, for people: two digits.
    pub fn show_difference(self, value: f64, calibration: &Calibration) -> String {
        let (volts, seconds) = (calibration.scale.is_some(), calibration.rate.is_some());
        match self {
            Self::Level | Self::Difference if volts => format_si(value, "V", 2),
            Self::Time if seconds => format_si(value, "s", 2),
            Self::Frequency if seconds => format_si(value, "Hz", 2),
            Self::Time => format!("{value:.2} sa"),
            unit => unit.show(value, calibration),
        }
    }

    /// A value for people.
    pub fn show(self, value: f64, calibration: &Calibration) -> String {
        let (volts, seconds) = (calibration.scale.is_some(), calibration.rate.is_some());
        match self {
            Self::Level | Self::Difference if volts => format_si(value, "V", 4),
            Self::Time if seconds => format_si(value, "s", 4),
            Self::Time => format!("{value:.3} sa"),
            Self::Frequency if seconds => format_si(value, "Hz", 5),
            // Distortion may be small: two digits of it.
            Self::Fraction if value != 0.0 && value.abs() < 0.001 => {
                let first = (value.abs() * 100.0).log10().floor();
                match (1.0 - first) as usize {
                    places @ 0..8 => format!("{:.*} %", places.max(4), value * 100.0),
                    _ => format!("{:.1e} %", value * 100.0),
                }
            }
            Self::Fraction => format!("{:.2} %", value * 100.0),
            Self::Decibels => format!("{value:.2} dB"),
            Self::Slew if volts && seconds => format_si(value, "V/s", 4),
            Self::Slew if volts => format_si(value, "V/sa", 4),
            Self::Slew if seconds => format_si(value, "ct/s", 4),
            Self::Slew => format!("{value:.4} ct/sa"),
            _ => format!("{value:.4}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Unit;
    use crate::calibration::Calibration;

    #[test]
    fn what_is_small_keeps_two_digits_and_counts_are_called_so() {
        let calibration = |rate| Calibration {
            scale: None,
            is_counted: true,
            rate,
            start_time: 0.0,
            codes: None,
            origin: 0.0,
        };
        for (unit, value, rate, text) in [
            (Unit::Fraction, 0.0123, None, "1.23 %"),
            (Unit::Fraction, 0.000_123_4, None, "0.0123 %"),
            (Unit::Fraction, 1.234e-7, None, "0.000012 %"),
            (Unit::Fraction, -1.2e-12, None, "-1.2e-10 %"),
            (Unit::Fraction, 0.0, None, "0.00 %"),
            (Unit::Slew, 1.4585e8, Some(1e6), "145.8 Mct/s"),
            (Unit::Slew, 12.5, None, "12.5000 ct/sa"),
        ] {
            assert_eq!(unit.show(value, &calibration(rate)), text);
        }
    }
}
