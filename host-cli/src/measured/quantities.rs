//! The table of quantities: what each is called, what it is measured in, and where it is found.

use std::borrow::Cow;

use stillwave::measure::{Doubt, Measure, Reason, References, Timing, Value};

use super::found::{Cycles, Found};
use super::range::Range;
use super::unit::Unit;
use crate::calibration::Calibration;

/// One measured quantity.
pub struct Quantity {
    /// Its key in JSON, CSV and expectations.
    pub key: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// What it is measured in.
    pub unit: Unit,
    /// What must be looked at for it.
    pub(super) pass: Pass,
    /// Its value.
    pub of: fn(&Found) -> Value,
    /// What it is among the basic measurements, of which doubts and uncertainty are known.
    basic: Option<Measure>,
    /// Of a mean over the cycles of a record: the same of the shortest or the longest of them.
    cycle: Option<fn(&Timing) -> Value>,
}

/// What is looked at; each costs passes over the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pass {
    /// The basic measurements.
    Basic,
    /// The shapes of transitions and of the whole.
    Shape,
    /// The shortest and longest times, and what whole cycles come to.
    Cycles,
    /// The spectrum.
    Spectrum,
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
