//! A proposal as options: round numbers, as a person would type them.

use stillwave::suggest::{Pattern, Proposal};
use stillwave::{Holdoff, Sample, Slope};

use crate::calibration::Calibration;

/// A quantity as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// With its unit: `1.65V`.
    pub text: String,
    /// The same as a number: volts or counts, seconds or samples, hertz.
    pub value: f64,
}

/// The options that a proposal comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// `--level`
    pub level: Typed,
    /// `--hysteresis`
    pub hysteresis: Typed,
    /// `--slope`
    pub slope: &'static str,
    /// `--holdoff`
    pub holdoff: Option<Typed>,
    /// `--corner`, of `--coupling high-reject`
    pub corner: Option<Typed>,
    /// `--pre`
    pub pre: Typed,
    /// `--post`
    pub post: Typed,
}

impl Options {
    /// The options of a proposal for a channel whose numbers mean that.
    pub fn new<T: Sample>(proposal: &Proposal<T>, calibration: &Calibration) -> Self {
        let [level, hysteresis] = [proposal.level.level, proposal.level.hysteresis];
        let [level, hysteresis] = [level, hysteresis].map(T::wide_to_f64);
        let corner = proposal.coupling.corner().zip(calibration.rate);
        // Of the only events there are, the record must stay within the recording.
        let exact = matches!(proposal.pattern, Pattern::Once) && calibration.rate.is_none();
        let digits = if exact { 9 } else { 2 };
        Self {
            level: voltage(calibration, level, proposal.seen.amplitude() / 100.0, true),
            hysteresis: voltage(calibration, hysteresis, hysteresis / 10.0, false),
            slope: match proposal.slope {
                Slope::Rising => "rising",
                Slope::Falling => "falling",
            },
            holdoff: match proposal.holdoff {
                Holdoff::Samples(samples) => Some(time(calibration, samples as f64, 3)),
                _ => None,
            },
            corner: corner.map(|(corner, rate)| {
                let hertz = corner.hertz(rate);
                typed(floor(hertz, digits_of(hertz, 3)), "Hz", digits_of(hertz, 3))
            }),
            pre: time(calibration, proposal.shape.pre as f64, digits),
            post: time(calibration, proposal.shape.post as f64, digits),
        }
    }

    /// As words of a command line.
    pub fn words(&self) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        let mut add = |option: &str, value: &str| words.extend([option.into(), value.into()]);
        add("--level", &self.level.text);
        add("--hysteresis", &self.hysteresis.text);
        add("--slope", self.slope);
        if let Some(corner) = &self.corner {
            add("--coupling", "high-reject");
            add("--corner", &corner.text);
        }
        if let Some(holdoff) = &self.holdoff {
            add("--holdoff", &holdoff.text);
        }
        add("--pre", &self.pre.text);
        add("--post", &self.post.text);
        words
    }
}

/// Counts in volts where they are known, as fine as `step` counts; whole counts otherwise.
pub fn voltage(calibration: &Calibration, counts: f64, step: f64, is_level: bool) -> Typed {
    let Some(scale) = calibration.scale else {
        let counts = counts.round();
        return Typed { text: format!("{counts}"), value: counts };
    };
    let value = if is_level { scale.volts(counts) } else { counts * scale.volts_per_count.abs() };
    let last = digits_of(step * scale.volts_per_count.abs(), 1);
    typed(nearest(value, last), "V", last)
}

/// Samples in seconds where those are known, rounded down to so many digits.
pub fn time(calibration: &Calibration, samples: f64, digits: i32) -> Typed {
    match calibration.rate {
        Some(rate) => {
            let last = digits_of(samples / rate, digits);
            typed(floor(samples / rate, last), "s", last)
        }
        None => Typed { text: format!("{samples}sa"), value: samples },
    }
}

/// The place of the last of so many digits of a number, as a power of ten.
fn digits_of(value: f64, digits: i32) -> i32 {
    if value.abs() > 0.0 { value.abs().log10().floor() as i32 - digits + 1 } else { 0 }
}

fn nearest(value: f64, last: i32) -> f64 {
    format!("{}e{last}", (value / 10_f64.powi(last)).round()).parse().unwrap_or(value)
}

fn floor(value: f64, last: i32) -> f64 {
    // What is a whole number but for the noise of a division is that number.
    let steps = (value / 10_f64.powi(last) + 1e-6).floor();
    format!("{steps}e{last}").parse().unwrap_or(value)
}

/// A number with the prefix that leaves one digit or more before the point.
fn typed(value: f64, unit: &str, last: i32) -> Typed {
    const PREFIXES: [(&str, i32); 7] =
        [("n", -9), ("u", -6), ("m", -3), ("", 0), ("k", 3), ("M", 6), ("G", 9)];
    let size = digits_of(value, 1);
    let most = if unit == "Hz" { 9 } else { 0 };
    let fits = |(_, power): &&(&str, i32)| *power <= size.max(-9) && *power <= most;
    let (prefix, power) = PREFIXES.iter().rev().find(fits).unwrap_or(&PREFIXES[3]);
    let places = (power - last).max(0) as usize;
    let digits = format!("{:.places$}", value / 10_f64.powi(*power));
    let digits = if digits.contains('.') {
        digits.trim_end_matches('0').trim_end_matches('.')
    } else {
        &digits
    };
    let digits = if digits == "-0" { "0" } else { digits };
    Typed { text: format!("{digits}{prefix}{unit}"), value }
}

#[cfg(test)]
mod tests {
    use super::{digits_of, floor, nearest, typed};
    use crate::quantity::{Level, Time};

    #[test]
    fn numbers_are_round_and_read_back_as_they_are() {
        for (value, digits, text) in [
            (1.6499, 3, "1.65V"),
            (-0.0501, 2, "-50mV"),
            (3.2, 2, "3.2V"),
            (0.000_012_34, 3, "12.3uV"),
            (1234.0, 2, "1200V"),
            (0.0, 2, "0V"),
        ] {
            let last = digits_of(value, digits);
            let typed = typed(nearest(value, last), "V", last);
            assert_eq!(typed.text, text);
            assert_eq!(typed.text.parse(), Ok(Level::Volts(typed.value)));
        }
        let last = digits_of(0.001_799, 2);
        let typed = typed(floor(0.001_799, last), "s", last);
        assert_eq!((typed.text.as_str(), typed.text.parse()), ("1.7ms", Ok(Time::Seconds(0.0017))));
        assert_eq!(floor(0.07, digits_of(0.07, 2)), 0.07);
    }
}
