//! Patterns: true at the samples at which every channel is, or does, as asked for.

use super::Side;
use super::watch::{Seen, Sight, Watcher, time};
use crate::oracle::{Found, Number, What};

/// What a channel must be or do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Must {
    Be { high: bool },
    Become { high: bool },
    Change,
}

/// What to wait for: in samples where longer, in 1/65536 of a sample where shorter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Until {
    Enters,
    Leaves,
    Longer(u64),
    Shorter(u64),
}

/// Several channels.
#[allow(missing_docs)]
pub struct Pattern<N> {
    pub lines: Vec<(Must, Side<N>)>,
    pub until: Until,
    /// Whether it is true, once all channels are known.
    pub now: Option<bool>,
    /// Since when it is true, while that is of interest.
    pub since: Option<Found>,
}

impl<N: Number> Watcher<N> for Pattern<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let turns: Vec<_> = self.lines.iter_mut().map(|(_, side)| side.frame(frame)).collect();
        let as_asked = self.lines.iter().zip(&turns).all(|((must, side), turn)| {
            let changed = turn.is_some_and(|(changed, _)| changed);
            match *must {
                Must::Be { high } => side.high == Some(high),
                Must::Become { high } => changed && side.high == Some(high),
                Must::Change => changed,
            }
        });
        let leads = || turns.iter().flatten().map(|&(_, lead)| lead);
        let here = |lead| Found { position, lead, what: What::Rise };
        let last = here(leads().min().unwrap_or(0));
        if self.lines.iter().any(|(must, _)| !matches!(must, Must::Be { .. })) {
            return if as_asked { vec![Sight::at(last, Seen::Entered)] } else { vec![] };
        }
        let known = self.lines.iter().all(|(_, side)| side.high.is_some());
        let before = self.now;
        self.now = known.then_some(as_asked);
        let (enters, leaves) = match (before, self.now) {
            (Some(false), Some(true)) => (true, false),
            (Some(true), Some(false)) => (false, true),
            _ => (false, false),
        };
        if enters {
            self.since = Some(last);
        }
        let first = here(leads().max().unwrap_or(0));
        let began = if leaves { self.since.take() } else { self.since };
        let seen = match (self.until, began) {
            (Until::Enters, _) if enters => Some((last, Seen::Entered)),
            (Until::Leaves, _) if leaves => Some((first, Seen::Left)),
            (Until::Shorter(bound), Some(began)) if leaves && time(began, first) < bound => {
                Some((first, Seen::Stayed(time(began, first))))
            }
            (Until::Longer(bound), Some(began))
                if !leaves && position - began.position >= bound =>
            {
                self.since = None;
                Some((here(0), Seen::Stayed(time(began, here(0)))))
            }
            _ => None,
        };
        seen.into_iter().map(|(found, seen)| Sight::at(found, seen)).collect()
    }

    fn gap(&mut self) {
        self.lines.iter_mut().for_each(|(_, side)| side.gap());
        (self.now, self.since) = (None, None);
    }
}
