//! Pulses: begin where an edge fires, end at the first later sample on the far side of the
//! hysteresis, and are as wide as the time between the two crossings.

use super::{Detector, Edge, Found, Number, What};

/// The widths that count, in 1/65536 of a sample.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Width {
    ShorterThan(u64),
    LongerThan(u64),
    Within(u64, u64),
    Outside(u64, u64),
}

impl Width {
    pub(super) fn counts(self, width: u64) -> bool {
        match self {
            Self::ShorterThan(a) => width < a,
            Self::LongerThan(a) => width > a,
            Self::Within(a, b) => width >= a && width <= b,
            Self::Outside(a, b) => width < a || width > b,
        }
    }
}

/// Pulses of one polarity.
#[derive(Clone, Debug)]
pub struct Pulse<N> {
    edge: Edge<N>,
    positive: bool,
    /// L − h, or L + h for negative pulses.
    end: N,
    width: Width,
    /// The crossing that began the pulse, in 1/65536 of a sample.
    begin: Option<i128>,
    previous: Option<N>,
}

impl<N: Number> Pulse<N> {
    /// A detector at the start of a stream.
    pub fn new(positive: bool, level: N, hysteresis: N, width: Width) -> Self {
        let edge = Edge::new(positive, level, hysteresis);
        let end = if positive { level - hysteresis } else { level + hysteresis };
        Self { edge, positive, end, width, begin: None, previous: None }
    }
}

impl<N: Number> Detector<N> for Pulse<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let previous = self.previous.replace(x);
        let parts = |lead: u32| i128::from(position) * 65536 - i128::from(lead);
        if let Some(edge) = self.edge.sample(position, x) {
            self.begin = Some(parts(edge.lead));
            return None;
        }
        if !(x.is_number() && if self.positive { x < self.end } else { x > self.end }) {
            return None;
        }
        let begin = self.begin.take()?;
        let known = previous.filter(|p| p.is_number());
        let lead = known.map_or(0, |p| N::lead(p, x, self.end));
        let width = u64::try_from(parts(lead) - begin).expect("a pulse ends after it begins");
        let what = if self.positive { What::Positive(width) } else { What::Negative(width) };
        self.width.counts(width).then_some(Found { position, lead, what })
    }

    fn gap(&mut self) {
        self.edge.gap();
        (self.begin, self.previous) = (None, None);
    }
}
