//! The numbers under the picture.

use core::fmt::Write as _;

use heapless::String;
use stillwave::measure::{Config, Doubt, Doubts, Measure, Meter};

use crate::FrontEnd;

/// What a record measures; `None` where it does not say.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Readings {
    /// Hz.
    pub frequency: Option<f64>,
    /// From the low to the high state, or from peak to peak where the signal rests in none; V.
    pub amplitude: Option<f64>,
    /// V.
    pub mean: Option<f64>,
    /// Samples at an end code: the voltage may be anything beyond.
    pub clipped: bool,
    /// What is doubtful about them; levels in V.
    pub doubts: Doubts,
}

impl Readings {
    /// The first doubt about the amplitude.
    pub fn amplitude_doubt(&self) -> Option<Doubt> {
        self.amplitude.and_then(|_| self.doubts.about(Measure::Amplitude).next())
    }

    /// The first doubt about the frequency.
    pub fn frequency_doubt(&self) -> Option<Doubt> {
        self.frequency.and_then(|_| self.doubts.about(Measure::Frequency).next())
    }

    /// Measures a record's samples.
    pub fn of(samples: &[u16], front: &FrontEnd) -> Self {
        let end_codes = Some((0.0, f64::from(front.highest)));
        let Ok(meter) = Meter::new(Config { end_codes, ..Config::default() }) else {
            return Self::default();
        };
        let counts = meter.measure(samples);
        let frequency = counts.timing.frequency.ok().map(|f| f * f64::from(front.rate));
        let volts = counts.scaled(front.scale);
        Self {
            frequency,
            amplitude: volts.amplitude.or(volts.peak_to_peak).ok(),
            mean: volts.mean.ok(),
            clipped: samples.iter().any(|&x| x == 0 || x >= front.highest),
            doubts: volts.doubts,
        }
    }
}

/// A doubt in a word for small displays.
pub(crate) fn in_a_word(doubt: Doubt) -> &'static str {
    match doubt {
        Doubt::DoesNotRest | Doubt::LowDoesNotRest | Doubt::HighDoesNotRest => "peaks",
        Doubt::LeftOut(_) => "spikes",
        Doubt::ThirdLevel(_) => "3 levels",
        Doubt::AmplitudeChanges | Doubt::PeriodVaries(_) => "varies",
        Doubt::StillRinging => "rings",
        Doubt::TooFewSamples => "few sa",
        Doubt::AtEndCode => "at end",
    }
}

/// A number in three digits with its unit, as `1.65V` or `20.0ms`.
pub(crate) fn three_digits(value: f64, unit: &str) -> String<12> {
    const PREFIXES: [(&str, f64); 6] =
        [("n", 1e-9), ("u", 1e-6), ("m", 1e-3), ("", 1.0), ("k", 1e3), ("M", 1e6)];
    let mut text = String::new();
    let size = libm::fabs(value);
    // The largest prefix that leaves 1 or more after rounding to three digits.
    let fits = |&&(_, factor): &&(&str, f64)| size >= factor * 0.9995;
    let smallest = if unit == "V" { 2 } else { 0 };
    let prefixes = PREFIXES.get(smallest..).unwrap_or(&PREFIXES);
    let (prefix, factor) = prefixes.iter().rev().find(fits).unwrap_or(&prefixes[0]);
    let scaled = value / factor;
    let decimals = match libm::fabs(scaled) {
        x if x < 9.995 => 2,
        x if x < 99.95 => 1,
        _ => 0,
    };
    // Volts below a millivolt are noise: no digits for them.
    let decimals = if smallest == 2 && *factor < 1.0 { 0 } else { decimals };
    // Nothing has no sign.
    let scaled = if libm::fabs(scaled) < 0.5 && decimals == 0 { 0.0 } else { scaled };
    // Twelve bytes hold any of these but the absurd, which then ends early.
    let _ = write!(text, "{scaled:.decimals$}{prefix}{unit}");
    text
}

/// A time or voltage that knobs step through, without needless digits: `500us`, `1ms`, `200mV`.
pub(crate) fn round_number(thousandths: u32, units: [&str; 2]) -> String<12> {
    let mut text = String::new();
    let (whole, rest) = (thousandths / 1_000, thousandths % 1_000);
    let _ = match (whole, rest) {
        (0, rest) => write!(text, "{rest}{}", units[0]),
        (whole, 0) => write!(text, "{whole}{}", units[1]),
        (whole, rest) => write!(text, "{whole}.{}{}", rest / 100, units[1]),
    };
    text
}

#[cfg(test)]
mod tests {
    use super::{Readings, round_number, three_digits};
    use crate::FrontEnd;
    use stillwave::measure::Doubt;

    #[test]
    fn a_square_wave_is_read() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        let (low, high) = (front.counts(-1_000) as u16, front.counts(3_000) as u16);
        let square: Vec<u16> = (0..4_000).map(|i| if i % 500 < 250 { high } else { low }).collect();
        let found = Readings::of(&square, &front);
        assert_eq!(found.frequency, Some(1_000.0));
        assert!((found.amplitude.unwrap() - 4.0).abs() < 0.01);
        assert!((found.mean.unwrap() - 1.0).abs() < 0.01);
        assert!(!found.clipped);
        let clipped: Vec<u16> = square.iter().map(|&x| if x == high { 4_095 } else { x }).collect();
        let found = Readings::of(&clipped, &front);
        assert!(found.clipped);
        assert!((found.amplitude.unwrap() - front_to_end(&front)).abs() < 0.01);
        assert_eq!(found.amplitude_doubt(), Some(Doubt::AtEndCode));
        assert_eq!(found.frequency, Some(1_000.0));
    }

    /// From −1 V to the highest code.
    fn front_to_end(front: &FrontEnd) -> f64 {
        front.scale.volts(f64::from(front.highest)) + 1.0
    }

    #[test]
    fn numbers_have_three_digits() {
        for (value, unit, text) in [
            (1.65, "V", "1.65V"),
            (-0.0336, "V", "-34mV"),
            (12.345, "V", "12.3V"),
            (999.96, "Hz", "1.00kHz"),
            (49.99, "Hz", "50.0Hz"),
            (100e3, "Hz", "100kHz"),
            (0.0, "V", "0mV"),
            (-0.000_4, "V", "0mV"),
            (2.5e-6, "s", "2.50us"),
        ] {
            assert_eq!(three_digits(value, unit), text);
        }
        assert_eq!(round_number(500, ["us", "ms"]), "500us");
        assert_eq!(round_number(20_000, ["us", "ms"]), "20ms");
        assert_eq!(round_number(1_500, ["us", "ms"]), "1.5ms");
    }
}
