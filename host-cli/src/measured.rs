//! All that is measured of a record, by name: for tables, files, expectations and histograms.

use stillwave::measure::{EdgeShape, Factors, Measurements, Meter, Reason, Value};
use stillwave::{Sample, Slope};

use crate::calibration::Calibration;
use crate::quantity::format_si;

/// One measured quantity.
pub struct Quantity {
    /// Its key in JSON, CSV and expectations.
    pub key: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// What it is measured in.
    pub unit: Unit,
    /// Its value.
    pub of: fn(&Found) -> Value,
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
}

const fn quantity(
    key: &'static str,
    name: &'static str,
    unit: Unit,
    of: fn(&Found) -> Value,
) -> Quantity {
    Quantity { key, name, unit, of }
}

/// How many of [`QUANTITIES`] are basic.
const BASIC: usize = 17;

/// All quantities, in the order in which they are shown; the basic ones first.
pub const QUANTITIES: [Quantity; BASIC + 12] = [
    quantity("minimum", "minimum", Unit::Level, |f| f.basic.minimum),
    quantity("maximum", "maximum", Unit::Level, |f| f.basic.maximum),
    quantity("peak_to_peak", "peak to peak", Unit::Difference, |f| f.basic.peak_to_peak),
    quantity("mean", "mean", Unit::Level, |f| f.basic.mean),
    quantity("rms", "RMS", Unit::Difference, |f| f.basic.rms),
    quantity("ac_rms", "AC RMS", Unit::Difference, |f| f.basic.ac_rms),
    quantity("low", "low state", Unit::Level, |f| f.basic.low),
    quantity("high", "high state", Unit::Level, |f| f.basic.high),
    quantity("amplitude", "amplitude", Unit::Difference, |f| f.basic.amplitude),
    quantity("period", "period", Unit::Time, |f| f.basic.timing.period),
    quantity("frequency", "frequency", Unit::Frequency, |f| f.basic.timing.frequency),
    quantity("duty", "duty", Unit::Fraction, |f| f.basic.timing.duty),
    quantity("positive_width", "positive width", Unit::Time, |f| f.basic.timing.positive_width),
    quantity("negative_width", "negative width", Unit::Time, |f| f.basic.timing.negative_width),
    quantity("rise_time", "rise 10-90 %", Unit::Time, |f| f.basic.timing.rise_time),
    quantity("fall_time", "fall 10-90 %", Unit::Time, |f| f.basic.timing.fall_time),
    quantity("cycles", "cycles", Unit::Count, |f| Ok(f.basic.timing.cycles as f64)),
    quantity("rise_overshoot", "rise overshoot", Unit::Fraction, |f| f.rise()?.overshoot),
    quantity("rise_undershoot", "rise undershoot", Unit::Fraction, |f| f.rise()?.undershoot),
    quantity("rise_preshoot", "rise preshoot", Unit::Fraction, |f| f.rise()?.preshoot),
    quantity("rise_settling", "rise settling", Unit::Time, |f| f.rise()?.settling),
    quantity("rise_slew", "rise slew rate", Unit::Slew, |f| f.rise()?.slew_rate),
    quantity("fall_overshoot", "fall overshoot", Unit::Fraction, |f| f.fall()?.overshoot),
    quantity("fall_undershoot", "fall undershoot", Unit::Fraction, |f| f.fall()?.undershoot),
    quantity("fall_preshoot", "fall preshoot", Unit::Fraction, |f| f.fall()?.preshoot),
    quantity("fall_settling", "fall settling", Unit::Time, |f| f.fall()?.settling),
    quantity("fall_slew", "fall slew rate", Unit::Slew, |f| f.fall()?.slew_rate),
    quantity("crest", "crest factor", Unit::Ratio, |f| Ok(f.more()?.factors?.crest)),
    quantity("form", "form factor", Unit::Ratio, |f| Ok(f.more()?.factors?.form)),
];

/// The basic quantities.
pub fn basic() -> &'static [Quantity] {
    QUANTITIES.get(..BASIC).unwrap_or(&QUANTITIES)
}

/// The quantity of that key, by its place among [`QUANTITIES`].
pub fn find(key: &str) -> Option<usize> {
    QUANTITIES.iter().position(|quantity| quantity.key == key)
}

/// What was measured of a record, in volts and seconds as far as they are known.
pub struct Found {
    /// The basic measurements.
    pub basic: Measurements,
    more: Option<More>,
}

/// What costs more passes over the record.
struct More {
    rise: EdgeShape,
    fall: EdgeShape,
    factors: Result<Factors, Reason>,
}

impl Found {
    /// Measures a record; `all` where more than the basic quantities are asked for.
    pub fn of<T: Sample>(
        samples: &[T],
        meter: &Meter,
        calibration: &Calibration,
        all: bool,
    ) -> Self {
        let basic = calibrated(&meter.measure(samples), calibration);
        Self { basic, more: all.then(|| More::of(samples, meter, calibration)) }
    }

    /// What was not asked for was not measured.
    fn more(&self) -> Result<&More, Reason> {
        self.more.as_ref().ok_or(Reason::Empty)
    }

    fn rise(&self) -> Result<&EdgeShape, Reason> {
        self.more().map(|more| &more.rise)
    }

    fn fall(&self) -> Result<&EdgeShape, Reason> {
        self.more().map(|more| &more.fall)
    }
}

impl More {
    fn of<T: Sample>(samples: &[T], meter: &Meter, calibration: &Calibration) -> Self {
        let shape = |slope| {
            let shape = meter.edge_shape(samples, slope);
            let shape = calibration.scale.map_or(shape, |scale| shape.scaled(scale));
            calibration.rate.and_then(|rate| shape.timed(rate).ok()).unwrap_or(shape)
        };
        let (mut rise, mut fall) = (shape(Slope::Rising), shape(Slope::Falling));
        if calibration.inverts() {
            std::mem::swap(&mut rise, &mut fall);
        }
        let zero = calibration.scale.map_or(0.0, |scale| scale.zero);
        Self { rise, fall, factors: Factors::of(samples, zero) }
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
    /// A value for people.
    pub fn show(self, value: f64, calibration: &Calibration) -> String {
        let (volts, seconds) = (calibration.scale.is_some(), calibration.rate.is_some());
        match self {
            Self::Level | Self::Difference if volts => format_si(value, "V", 4),
            Self::Time if seconds => format_si(value, "s", 4),
            Self::Time => format!("{value:.3} sa"),
            Self::Frequency if seconds => format_si(value, "Hz", 5),
            Self::Fraction => format!("{:.2} %", value * 100.0),
            Self::Slew if volts && seconds => format_si(value, "V/s", 4),
            Self::Slew if volts => format_si(value, "V/sa", 4),
            Self::Slew if seconds => format!("{value:.4e} /s"),
            Self::Slew => format!("{value:.4} /sa"),
            _ => format!("{value:.4}"),
        }
    }
}
