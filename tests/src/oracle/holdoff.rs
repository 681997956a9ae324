//! Holdoff: which events are accepted.

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Hold {
    None,
    Samples(u64),
    Every(u32),
}

/// An event at p is accepted if p ≥ (last accepted) + holdoff; or every n-th is.
#[derive(Clone, Debug)]
pub struct Holdoff {
    hold: Hold,
    last: Option<u64>,
    seen: u64,
}

impl Holdoff {
    /// None accepted yet.
    pub fn new(hold: Hold) -> Self {
        Self { hold, last: None, seen: 0 }
    }

    /// Whether the next event, at this position, is accepted.
    pub fn accepts(&mut self, position: u64) -> bool {
        self.seen += 1;
        let accepted = match self.hold {
            Hold::None => true,
            Hold::Samples(wait) => self
                .last
                .is_none_or(|last| u128::from(position) >= u128::from(last) + u128::from(wait)),
            Hold::Every(n) => self.seen.is_multiple_of(u64::from(n)),
        };
        if accepted {
            self.last = Some(position);
        }
        accepted
    }
}
