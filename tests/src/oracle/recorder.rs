//! Records: [p − pre, p + post) of every channel, out of a history that keeps everything.

use super::Found;

/// When a record starts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Pace {
    Normal,
    Auto(u64),
    Single,
}

/// A finished record: where it is aligned, its event unless forced, and its samples by channel.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Kept<S> {
    pub position: u64,
    pub event: Option<Found>,
    pub channels: Vec<Vec<S>>,
}

/// What was counted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct Tally {
    pub records: u64,
    pub forced: u64,
    pub unrecorded: u64,
    pub abandoned: u64,
}

/// Keeps every sample since the start or the last gap, a frame of all channels each.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Recorder<S> {
    pre: usize,
    post: usize,
    pace: Pace,
    pub running: bool,
    /// Since when it waits.
    since: u64,
    filling: Option<(u64, Option<Found>)>,
    first: u64,
    history: Vec<Vec<S>>,
    pub kept: Vec<Kept<S>>,
    pub tally: Tally,
}

impl<S: Copy> Recorder<S> {
    /// Running, at the start of a stream.
    pub fn new(pre: usize, post: usize, pace: Pace) -> Self {
        Self {
            pre,
            post,
            pace,
            running: true,
            since: 0,
            filling: None,
            first: 0,
            history: Vec::new(),
            kept: Vec::new(),
            tally: Tally::default(),
        }
    }

    /// The samples of all channels at a position, and the event accepted there.
    pub fn sample(&mut self, position: u64, frame: &[S], event: Option<Found>) {
        self.history.push(frame.to_vec());
        let full = self.first + self.pre as u64;
        let due = match self.pace {
            Pace::Auto(after) => position >= full.max(self.since.saturating_add(after)),
            Pace::Normal | Pace::Single => false,
        };
        let waiting = self.running && self.filling.is_none();
        if waiting && event.is_some() && position >= full {
            self.filling = Some((position, event));
        } else {
            self.tally.unrecorded += u64::from(self.running && event.is_some());
            if waiting && due {
                self.tally.forced += 1;
                self.filling = Some((position, None));
            }
        }
        if let Some((at, event)) = self.filling
            && position + 1 >= at + self.post as u64
        {
            self.keep(at, event);
        }
    }

    fn keep(&mut self, at: u64, event: Option<Found>) {
        let from = (at - self.first) as usize - self.pre;
        let frames = &self.history[from..from + self.pre + self.post];
        let channels = (0..self.history[0].len())
            .map(|channel| frames.iter().map(|frame| frame[channel]).collect())
            .collect();
        self.kept.push(Kept { position: at, event, channels });
        self.tally.records += 1;
        self.filling = None;
        self.since = at + self.post as u64;
        self.running = self.pace != Pace::Single;
    }

    /// The next sample is at this position, and those before it were lost.
    pub fn gap(&mut self, position: u64) {
        self.history.clear();
        self.first = position;
        if self.abandon() {
            self.since = position;
        }
    }

    /// Waits from the next sample on, at this position.
    pub fn run(&mut self, position: u64) {
        self.abandon();
        self.running = true;
        self.since = position;
    }

    /// Starts no record until run again.
    pub fn stop(&mut self) {
        self.abandon();
        self.running = false;
    }

    /// Another pace from the next sample on.
    pub fn set_pace(&mut self, pace: Pace) {
        self.pace = pace;
    }

    /// Another shape from the next sample, at this position, on. Of what went before only the old
    /// pre-trigger is there.
    pub fn set_shape(&mut self, position: u64, pre: usize, post: usize) {
        if self.running {
            self.run(position);
        }
        let kept = self.history.len().min(self.pre);
        self.history.drain(..self.history.len() - kept);
        self.first = position - kept as u64;
        (self.pre, self.post) = (pre, post);
    }

    fn abandon(&mut self) -> bool {
        let abandoned = self.filling.take().is_some();
        self.tally.abandoned += u64::from(abandoned);
        abandoned
    }
}
