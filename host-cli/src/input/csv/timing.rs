//! The sample rate that a column of times implies.

/// What the times of the first lines say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Timing {
    pub(super) start: f64,
    pub(super) rate: f64,
    /// The last printed digit of the times is worth so many seconds.
    pub(super) digit: f64,
}

/// Gathers times as they were printed.
#[derive(Debug, Default)]
pub(super) struct Times {
    count: u32,
    first: f64,
    last: f64,
    digits: usize,
}

impl Times {
    /// Takes the next time, printed as `text`.
    pub(super) fn push(&mut self, time: f64, text: &[u8]) {
        if self.count == 0 {
            self.first = time;
        }
        self.count = self.count.saturating_add(1);
        self.last = time;
        self.digits = self.digits.max(significant_digits(text));
    }

    /// The rate, where there are two times at least and they increase.
    pub(super) fn timing(&self, seconds: f64) -> Option<Timing> {
        let span = self.last - self.first;
        let steps = f64::from(self.count.saturating_sub(1));
        let rate = steps / (span * seconds);
        if !(span > 0.0 && rate > 0.0 && rate.is_finite()) {
            return None;
        }
        let magnitude = self.first.abs().max(self.last.abs()).log10().floor() as i32;
        let digits = i32::try_from(self.digits).unwrap_or(i32::MAX);
        let digit = 10_f64.powi(magnitude.saturating_sub(digits).saturating_add(1)) * seconds;
        let rate = roundest(steps, span * seconds, digit);
        Some(Timing { start: self.first * seconds, rate, digit })
    }
}

impl Timing {
    /// Whether the step from one time to the next is that of the rate, within its half.
    pub(super) fn is_even(&self, step: f64) -> bool {
        let period = self.rate.recip();
        (step - period).abs() <= 0.5 * period + self.digit
    }
}

/// The rate, or the period, with the fewest digits that the printed times allow.
///
/// Times rounded to a microsecond make 44 100 samples a second look like 44 100.2.
fn roundest(steps: f64, span: f64, digit: f64) -> f64 {
    let nominal = steps / span;
    for places in 0..9 {
        let rate = rounded(nominal, places);
        let by_period = rounded(nominal.recip(), places).recip();
        let best = if (by_period - nominal).abs() < (rate - nominal).abs() - nominal * 1e-9 {
            by_period
        } else {
            rate
        };
        if (steps / best - span).abs() <= digit {
            return best;
        }
    }
    nominal
}

fn rounded(value: f64, places: usize) -> f64 {
    format!("{value:.places$e}").parse().unwrap_or(value)
}

fn significant_digits(text: &[u8]) -> usize {
    text.iter()
        .take_while(|byte| !matches!(byte, b'e' | b'E'))
        .filter(|byte| byte.is_ascii_digit())
        .skip_while(|byte| **byte == b'0')
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate(times: impl Iterator<Item = String>) -> Option<f64> {
        let mut all = Times::default();
        for text in times {
            all.push(text.parse().unwrap(), text.as_bytes());
        }
        all.timing(1.0).map(|timing| timing.rate)
    }

    #[test]
    fn rounded_times_give_the_true_rate() {
        let at = |rate: f64| (0..4000).map(move |i| f64::from(i) / rate);
        assert_eq!(rate(at(44_100.0).map(|t| format!("{t:.6}"))), Some(44_100.0));
        assert_eq!(rate(at(44_100.0).map(|t| format!("{t:.6e}"))), Some(44_100.0));
        assert_eq!(rate(at(1e6).map(|t| format!("{t}"))), Some(1e6));
        assert_eq!(rate(at(360.0).map(|t| format!("{t:.3}"))), Some(360.0));
        assert_eq!(rate(at(1e6).map(|t| format!("{:.6}", t + 1e3))), Some(1e6));
        assert_eq!(rate(["0", "0.3", "0.6"].iter().map(ToString::to_string)), Some(1.0 / 0.3));
    }

    #[test]
    fn no_rate_without_progress() {
        let of = |times: &[&str]| rate(times.iter().map(ToString::to_string));
        assert_eq!(of(&[]), None);
        assert_eq!(of(&["1"]), None);
        assert_eq!(of(&["1", "1"]), None);
        assert_eq!(of(&["2", "1"]), None);
    }

    #[test]
    fn uneven_steps_are_told() {
        let timing = Timing { start: 0.0, rate: 1000.0, digit: 1e-6 };
        assert!(timing.is_even(0.0011));
        assert!(!timing.is_even(0.002));
        assert!(!timing.is_even(-0.001));
    }
}
