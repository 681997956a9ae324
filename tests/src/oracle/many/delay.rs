//! Delays: from the latest A to the next B after it. B comes first where both are at one instant.

use super::watch::{On, Seen, Sight, Watcher, time};
use crate::oracle::{Found, Width};

/// From A to B.
#[allow(missing_docs)]
pub struct Delay<N> {
    pub from: On<N>,
    pub to: On<N>,
    pub bounds: Width,
    pub begin: Option<Found>,
}

impl<N: Copy> Watcher<N> for Delay<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let (a, b) = (self.from.frame(position, frame), self.to.frame(position, frame));
        let a_is_first = matches!((a, b), (Some(a), Some(b)) if a.lead > b.lead);
        if a_is_first {
            self.begin = a;
        }
        let begin = if b.is_some() { self.begin.take() } else { None };
        if a.is_some() && !a_is_first {
            self.begin = a;
        }
        let (Some(begin), Some(end)) = (begin, b) else { return vec![] };
        let delay = time(begin, end);
        let counts = self.bounds.counts(delay);
        if counts { vec![Sight::at(end, Seen::Delay(delay))] } else { vec![] }
    }

    fn gap(&mut self) {
        self.from.gap();
        self.to.gap();
        self.begin = None;
    }
}
