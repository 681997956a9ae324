//! Transitions: from where a rising edge passes the lower level to the first sample at or over the
//! upper, unless the signal was back under the lower in between. Falling is the mirror.

use super::{Detector, Edge, Found, Number, What, Width};

/// Transitions of one slope.
#[derive(Clone, Debug)]
pub struct Transition<N> {
    edge: Edge<N>,
    rising: bool,
    low: N,
    high: N,
    hysteresis: N,
    time: Width,
    /// Where the transition under way began, in 1/65536 of a sample.
    begin: Option<i128>,
    previous: Option<N>,
}

impl<N: Number> Transition<N> {
    /// A detector at the start of a stream.
    pub fn new(rising: bool, (low, high): (N, N), hysteresis: N, time: Width) -> Self {
        let edge = Edge::new(rising, if rising { low } else { high }, hysteresis);
        Self { edge, rising, low, high, hysteresis, time, begin: None, previous: None }
    }
}

impl<N: Number> Detector<N> for Transition<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let previous = self.previous.replace(x).filter(|p| p.is_number());
        if let Some(edge) = self.edge.sample(position, x) {
            self.begin = Some(edge.parts());
        }
        let (back, end, level) = if self.rising {
            (x < self.low - self.hysteresis, x >= self.high, self.high)
        } else {
            (x > self.high + self.hysteresis, x <= self.low, self.low)
        };
        if x.is_number() && back {
            self.begin = None;
        }
        if !(x.is_number() && end) {
            return None;
        }
        let begin = self.begin.take()?;
        let lead = previous.map_or(0, |p| N::lead(p, x, level));
        let mut found = Found { position, lead, what: What::Rise };
        let time = (found.parts() - begin) as u64;
        found.what = What::Transition { rising: self.rising, time };
        self.time.counts(time).then_some(found)
    }

    fn gap(&mut self) {
        self.edge.gap();
        (self.begin, self.previous) = (None, None);
    }
}
