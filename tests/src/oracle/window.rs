//! Windows: outside from x > high or x < low on, inside from low + h ≤ x ≤ high − h on. A stay
//! longer than T is told at the entry + T, a shorter one where it ends.

use super::{Detector, Found, Number, What};

/// What to wait for: in samples where longer, in 1/65536 of a sample where shorter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum When {
    Goes,
    StaysLonger(u64),
    StaysShorter(u64),
}

/// A window, and the side that the signal should go to or stay on.
#[derive(Clone, Debug)]
pub struct Window<N> {
    low: N,
    high: N,
    hysteresis: N,
    inside: bool,
    when: When,
    /// Where the signal is.
    now: Option<bool>,
    /// The arrival that began a stay, until it is over or told.
    arrival: Option<Found>,
    previous: Option<N>,
}

impl<N: Number> Window<N> {
    /// A detector at the start of a stream.
    pub fn new((low, high): (N, N), hysteresis: N, inside: bool, when: When) -> Self {
        Self { low, high, hysteresis, inside, when, now: None, arrival: None, previous: None }
    }

    /// The entry or exit at this sample.
    fn passage(&mut self, position: u64, x: N) -> Option<Found> {
        let previous = self.previous.replace(x).filter(|p| p.is_number());
        let (inner_low, inner_high) = (self.low + self.hysteresis, self.high - self.hysteresis);
        let inside = x.is_number() && x >= inner_low && x <= inner_high;
        let outside = x.is_number() && (x < self.low || x > self.high);
        if !inside && !outside {
            return None;
        }
        if self.now.replace(inside)? == inside {
            return None;
        }
        let lead = previous.map_or(0, |p| {
            let passed = match (inside, p < x) {
                (true, true) => inner_low,
                (true, false) => inner_high,
                (false, true) => self.high,
                (false, false) => self.low,
            };
            N::lead(p, x, passed)
        });
        Some(Found { position, lead, what: What::Went { inside } })
    }
}

impl<N: Number> Detector<N> for Window<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let passage = self.passage(position, x);
        let arrives = passage.is_some_and(|p| p.what == What::Went { inside: self.inside });
        let told = |at: Found, since: Found| {
            let time = (at.parts() - since.parts()) as u64;
            Found { what: What::Stayed { inside: self.inside, time }, ..at }
        };
        if arrives {
            self.arrival = passage;
        }
        match self.when {
            When::Goes => passage.filter(|_| arrives),
            When::StaysShorter(bound) => {
                let (end, arrival) = (passage.filter(|_| !arrives)?, self.arrival.take()?);
                let short = end.parts() - arrival.parts() < i128::from(bound);
                short.then(|| told(end, arrival))
            }
            When::StaysLonger(bound) => {
                let arrival = self.arrival?;
                let gone = passage.is_some() && !arrives;
                let long = !gone && position - arrival.position >= bound;
                if gone || long {
                    self.arrival = None;
                }
                long.then(|| told(Found { position, lead: 0, ..arrival }, arrival))
            }
        }
    }

    fn gap(&mut self) {
        (self.now, self.arrival, self.previous) = (None, None, None);
    }
}
