//! Sides: high from x ≥ L on, low from x < L − h on, before that neither.

use crate::oracle::Number;

/// Which side of a level a channel is on.
#[derive(Clone, Debug)]
pub struct Side<N> {
    level: N,
    hysteresis: N,
    channel: usize,
    previous: Option<N>,
    /// Whether it is high, if it is known to be on a side.
    pub high: Option<bool>,
}

impl<N: Number> Side<N> {
    /// At the start of a stream.
    pub fn new(level: N, hysteresis: N, channel: usize) -> Self {
        Self { level, hysteresis, channel, previous: None, high: None }
    }

    /// Takes a frame. Where the side changes or is first known, gives whether it changed, and the
    /// lead.
    pub fn frame(&mut self, frame: &[N]) -> Option<(bool, u32)> {
        let x = frame[self.channel];
        let previous = self.previous.replace(x).filter(|p| p.is_number());
        let end = self.level - self.hysteresis;
        let high = match x {
            x if x.is_number() && x >= self.level => true,
            x if x.is_number() && x < end => false,
            _ => return None,
        };
        let before = self.high.replace(high);
        if before == Some(high) {
            return None;
        }
        let passed = if high { self.level } else { end };
        let lead = previous.map_or(0, |p| N::lead(p, x, passed));
        Some(before.map_or((false, 0), |_| (true, lead)))
    }

    /// Samples were lost here.
    pub fn gap(&mut self) {
        (self.previous, self.high) = (None, None);
    }
}
