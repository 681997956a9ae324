//! The stream: noise that is never high, with pulses and gaps in it.

use std::collections::VecDeque;

use stillwave_tests::dice::Dice;

use crate::ledger::{Ledger, NARROW};

/// The samples of noise; the stream repeats them.
const QUIET: u64 = 1 << 16;
/// The middle of the noise.
const GROUND: u16 = 500;
/// How high a runt is, and any other pulse.
const TOPS: [u16; 2] = [1400, 3500];
/// Pulses are kept so long, for records that begin before a block.
const MEMORY: u64 = 1024;

/// Samples without a gap, and how many are lost behind them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stretch {
    pub(crate) start: u64,
    pub(crate) end: u64,
    pub(crate) lost: u64,
    pub(crate) is_last: bool,
}

/// A pulse: high at `[at, at + width)`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    pub(crate) at: u64,
    pub(crate) width: u64,
    pub(crate) is_runt: bool,
}

impl Placed {
    pub(crate) fn end(self) -> u64 {
        self.at + self.width
    }
}

/// A block, and what is needed to say what any sample up to its end was.
pub(crate) struct Block<'a> {
    pub(crate) samples: &'a [u16],
    quiet: &'a [u16],
    recent: &'a VecDeque<Placed>,
}

impl Block<'_> {
    /// Whether the stream had these samples from a position on.
    pub(crate) fn is(&self, start: u64, samples: &[u16]) -> bool {
        samples.iter().enumerate().all(|(n, x)| *x == at(self.quiet, self.recent, start + n as u64))
    }
}

/// The sample at a position.
pub(crate) fn at(quiet: &[u16], pulses: &VecDeque<Placed>, position: u64) -> u16 {
    let noise = quiet[(position % QUIET) as usize];
    let pulse = pulses.iter().find(|pulse| (pulse.at..pulse.end()).contains(&position));
    pulse.map_or(noise, |pulse| noise - GROUND + TOPS[usize::from(!pulse.is_runt)])
}

/// The generator.
pub(crate) struct Stream {
    dice: Dice,
    quiet: Vec<u16>,
    painted: Vec<u16>,
    /// Pulses in the block, and some before it.
    recent: VecDeque<Placed>,
    /// The next pulse, if there is one in this stretch.
    next: Option<Placed>,
    stretch: Stretch,
    position: u64,
    end: u64,
}

impl Stream {
    /// Positions from `first` to `end`.
    pub(crate) fn new(first: u64, end: u64) -> Self {
        let mut dice = Dice::new(24);
        let quiet = (0..QUIET).map(|_| GROUND + dice.below(60) as u16).collect();
        Self {
            dice,
            quiet,
            painted: Vec::new(),
            recent: VecDeque::new(),
            next: None,
            stretch: Stretch { start: 0, end: 0, lost: 0, is_last: false },
            position: first,
            end,
        }
    }

    /// Goes on behind a gap of so many samples.
    pub(crate) fn next_stretch(&mut self, gap: u64) -> Option<Stretch> {
        if self.stretch.is_last {
            return None;
        }
        let start = if self.stretch.end == 0 { gap } else { self.stretch.end + gap };
        // Six seconds on average; some are very short.
        let longest = self.dice.pick(&[400, 50_000, 10_000_000, 10_000_000, 10_000_000]);
        let most_lost = self.dice.pick(&[1, 100, 100_000]);
        let (length, lost) = (1 + self.dice.below(longest), 1 + self.dice.below(most_lost));
        let end = (start + length).min(self.end);
        let is_last = end + lost >= self.end;
        let end = if is_last { self.end } else { end };
        self.stretch = Stretch { start, end, lost, is_last };
        self.position = start;
        // What was high when the gap began may be so still.
        self.recent.retain(|pulse| pulse.end() > start);
        let free = self.recent.back().map_or(start, |pulse| pulse.end() + 2);
        self.next = self.plan(free);
        Some(self.stretch)
    }

    /// The next block, and its pulses into the ledger; none where the stretch ends.
    pub(crate) fn next_block(&mut self, ledger: &mut Ledger) -> Option<Block<'_>> {
        let (start, end) = (self.position, self.stretch.end);
        if start >= end {
            return None;
        }
        // To the end of the noise, but one in four any shorter; some are empty.
        let room = QUIET - start % QUIET;
        let length = if self.dice.below(4) == 0 { self.dice.below(room + 1) } else { room };
        let end = end.min(start + length);
        while self.recent.front().is_some_and(|pulse| pulse.end() + MEMORY < start) {
            self.recent.pop_front();
        }
        while let Some(pulse) = self.next.filter(|pulse| pulse.at < end) {
            self.recent.push_back(pulse);
            ledger.expect(pulse, |position| at(&self.quiet, &self.recent, position));
            self.next = self.plan(pulse.end() + 20);
        }
        let first = (start % QUIET) as usize;
        let mut samples = &self.quiet[first..first + (end - start) as usize];
        if self.recent.iter().any(|pulse| pulse.end() > start && pulse.at < end) {
            self.painted.clear();
            self.painted.extend_from_slice(samples);
            for pulse in &self.recent {
                let high = pulse.at.clamp(start, end)..pulse.end().clamp(start, end);
                let rise = TOPS[usize::from(!pulse.is_runt)] - GROUND;
                for x in
                    &mut self.painted[(high.start - start) as usize..(high.end - start) as usize]
                {
                    *x += rise;
                }
            }
            samples = &self.painted;
        }
        self.position = end;
        Some(Block { samples, quiet: &self.quiet, recent: &self.recent })
    }

    /// The next pulse from `free` on; none where the stretch has no room.
    fn plan(&mut self, free: u64) -> Option<Placed> {
        let dice = &mut self.dice;
        let end = self.stretch.end;
        let most = dice.pick(&[100, 5000, 10_000, 10_000, 10_000, 10_000, 100_000]);
        let mut at = free + dice.below(most);
        if at >= end {
            // Every other gap takes a pulse away, or a part of one.
            at = end.saturating_sub(1 + dice.below(300));
            if at < free || dice.below(2) == 0 {
                return None;
            }
        }
        let (shortest, longest) = match dice.below(64) {
            0 => (1000, 200_000),
            1..24 => (1, NARROW - 2),
            _ => (NARROW + 2, 300),
        };
        let width = shortest + dice.below(longest - shortest + 1);
        Some(Placed { at, width, is_runt: dice.below(4) == 0 })
    }
}
