//! Counts: the n-th event since the start, since T samples without one, or since another event,
//! which itself begins the count after its own sample.

use super::watch::{On, Seen, Sight, Watcher};

/// What begins a count.
#[allow(missing_docs)]
pub enum Since<N> {
    Start,
    Quiet(u64),
    Other(On<N>),
}

/// The n-th event.
#[allow(missing_docs)]
pub struct Count<N> {
    pub of: On<N>,
    pub n: u32,
    pub since: Since<N>,
    /// The events since the last beginning, and whether there was one.
    pub counted: u32,
    pub begun: bool,
    /// The last event; before the first, the first sample.
    pub last: Option<u64>,
}

impl<N: Copy> Watcher<N> for Count<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let last = *self.last.get_or_insert(position);
        let mut sights = vec![];
        if let Some(event) = self.of.frame(position, frame) {
            match self.since {
                Since::Start => self.begun = true,
                Since::Quiet(quiet) if position - last >= quiet => {
                    (self.begun, self.counted) = (true, 0);
                }
                _ => {}
            }
            self.last = Some(position);
            self.counted += u32::from(self.begun);
            if self.begun && self.counted == self.n {
                sights.push(Sight::at(event, Seen::Count(self.n)));
            }
        }
        if let Since::Other(other) = &mut self.since
            && other.frame(position, frame).is_some()
        {
            (self.begun, self.counted) = (true, 0);
        }
        sights
    }

    fn gap(&mut self) {
        self.of.gap();
        if let Since::Other(other) = &mut self.since {
            other.gap();
        }
        (self.begun, self.counted, self.last) = (false, 0, None);
    }
}
