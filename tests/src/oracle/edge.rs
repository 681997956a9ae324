//! Edges. Rising: armed by x < L − h, fires at the first x ≥ L while armed, firing disarms.
//! Falling is the mirror. Either is both side by side.

use super::{Detector, Found, Number, What};

/// One slope.
#[derive(Clone, Debug)]
pub struct Edge<N> {
    rising: bool,
    level: N,
    hysteresis: N,
    armed: bool,
    previous: Option<N>,
}

impl<N: Number> Edge<N> {
    /// A detector at the start of a stream.
    pub fn new(rising: bool, level: N, hysteresis: N) -> Self {
        Self { rising, level, hysteresis, armed: false, previous: None }
    }
}

impl<N: Number> Detector<N> for Edge<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        let previous = self.previous.replace(x);
        if !x.is_number() {
            return None;
        }
        let (arms, fires, what) = if self.rising {
            (x < self.level - self.hysteresis, x >= self.level, What::Rise)
        } else {
            (x > self.level + self.hysteresis, x <= self.level, What::Fall)
        };
        if arms {
            self.armed = true;
        } else if fires && self.armed {
            self.armed = false;
            let known = previous.filter(|p| p.is_number());
            let lead = known.map_or(0, |p| N::lead(p, x, self.level));
            return Some(Found { position, lead, what });
        }
        None
    }

    fn gap(&mut self) {
        self.armed = false;
        self.previous = None;
    }
}

/// Both slopes.
#[derive(Clone, Debug)]
pub struct Either<N>(Edge<N>, Edge<N>);

impl<N: Number> Either<N> {
    /// A detector at the start of a stream.
    pub fn new(level: N, hysteresis: N) -> Self {
        Self(Edge::new(true, level, hysteresis), Edge::new(false, level, hysteresis))
    }
}

impl<N: Number> Detector<N> for Either<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        // Armed below and armed above exclude each other: crossing over fires one of the two.
        match (self.0.sample(position, x), self.1.sample(position, x)) {
            (Some(_), Some(_)) => panic!("an edge of both slopes at {position}"),
            (rise, fall) => rise.or(fall),
        }
    }

    fn gap(&mut self) {
        self.0.gap();
        self.1.gap();
    }
}
