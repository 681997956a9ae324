//! Sequences: A, then the n-th B from the delay on, before the timeout and without a C; one step a
//! sample.

use super::watch::{On, Seen, Sight, Watcher, time};
use crate::oracle::Found;

/// A, then B.
#[allow(missing_docs)]
pub struct Sequence<N> {
    pub first: On<N>,
    pub then: On<N>,
    pub reset: Option<On<N>>,
    pub delay: u64,
    pub n: u32,
    pub timeout: Option<u64>,
    pub begin: Option<Found>,
    pub counted: u32,
}

impl<N: Copy> Watcher<N> for Sequence<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let a = self.first.frame(position, frame);
        let b = self.then.frame(position, frame);
        let c = self.reset.as_mut().and_then(|reset| reset.frame(position, frame));
        let after = |begin: Found| position - begin.position;
        self.begin = self.begin.filter(|&begin| self.timeout.is_none_or(|t| after(begin) < t));
        let Some(begin) = self.begin else {
            (self.begin, self.counted) = (a, 0);
            return vec![];
        };
        if let Some(b) = b
            && after(begin) >= self.delay
        {
            self.counted += 1;
            if self.counted == self.n {
                self.begin = None;
                return vec![Sight::at(b, Seen::Sequence(time(begin, b)))];
            }
        }
        if c.is_some() {
            self.begin = None;
        }
        vec![]
    }

    fn gap(&mut self) {
        self.first.gap();
        self.then.gap();
        if let Some(reset) = &mut self.reset {
            reset.gap();
        }
        self.begin = None;
    }
}
