//! Setup and hold: the nearest change less than the setup time before a clock edge, the first
//! change less than the hold time after it. A change at the same instant is after it.

use super::watch::{On, Seen, Sight, Watcher, time};
use crate::oracle::Found;

/// A clock and its data.
#[allow(missing_docs)]
pub struct SetupHold<N> {
    pub clock: On<N>,
    pub data: On<N>,
    pub setup: u64,
    pub hold: u64,
    pub last_edge: Option<Found>,
    pub last_change: Option<Found>,
}

impl<N: Copy> Watcher<N> for SetupHold<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let edge = self.clock.frame(position, frame).map(|edge| (edge, true));
        let change = self.data.frame(position, frame).map(|change| (change, false));
        let mut both: Vec<_> = edge.into_iter().chain(change).collect();
        both.sort_by_key(|(found, _)| std::cmp::Reverse(found.lead));
        let mut sights = vec![];
        for (found, is_edge) in both {
            let before = if is_edge { self.last_change } else { self.last_edge.take() };
            let (bound, seen): (_, fn(u64) -> Seen) =
                if is_edge { (self.setup, Seen::Setup) } else { (self.hold, Seen::Hold) };
            let near = before.map(|before| time(before, found)).filter(|&time| time < bound);
            sights.extend(near.map(|time| Sight::at(found, seen(time))));
            *(if is_edge { &mut self.last_edge } else { &mut self.last_change }) = Some(found);
        }
        sights
    }

    fn gap(&mut self) {
        self.clock.gap();
        self.data.gap();
        (self.last_edge, self.last_change) = (None, None);
    }
}
