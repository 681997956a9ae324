//! Runts: pulses through the lower level no sample of which is at or over the upper. Negative is
//! the mirror.

use super::{Detector, Found, Number, Pulse, What, Width};

/// Runts of one polarity.
#[derive(Clone, Debug)]
pub struct Runt<N> {
    pulse: Pulse<N>,
    positive: bool,
    low: N,
    high: N,
    hysteresis: N,
    /// Whether the other level was reached since the signal was last on the near side.
    reached: bool,
}

impl<N: Number> Runt<N> {
    /// A detector at the start of a stream, of all widths or some.
    pub fn new(positive: bool, (low, high): (N, N), hysteresis: N, width: Option<Width>) -> Self {
        let first = if positive { low } else { high };
        let width = width.unwrap_or(Width::Within(0, u64::MAX));
        let pulse = Pulse::new(positive, first, hysteresis, width);
        Self { pulse, positive, low, high, hysteresis, reached: false }
    }
}

impl<N: Number> Detector<N> for Runt<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let pulse = self.pulse.sample(position, x);
        let (near, far) = if self.positive {
            (x < self.low - self.hysteresis, x >= self.high)
        } else {
            (x > self.high + self.hysteresis, x <= self.low)
        };
        let reached = self.reached;
        if x.is_number() {
            self.reached = far || (reached && !near);
        }
        let what = match pulse?.what {
            What::Positive(width) | What::Negative(width) => {
                What::Runt { positive: self.positive, width }
            }
            _ => return None,
        };
        (!reached).then_some(Found { what, ..pulse? })
    }

    fn gap(&mut self) {
        self.pulse.gap();
        self.reached = false;
    }
}
