//! SPI: data at each sampling edge while select is active, from where it became so.

use super::Said;
use crate::oracle::Number;
use crate::oracle::many::{Seen, Side, Sight, Watcher};

/// A clocked line.
#[allow(missing_docs)]
pub struct Spi<N> {
    pub clock: Side<N>,
    pub data: Side<N>,
    pub select: Side<N>,
    pub rising: bool,
    pub active_high: bool,
    pub length: usize,
    pub most_first: bool,
    pub word: Option<Vec<bool>>,
}

impl<N: Number> Watcher<N> for Spi<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let clock = self.clock.frame(frame);
        self.data.frame(frame);
        if let Some((true, _)) = self.select.frame(frame) {
            let active = self.select.high == Some(self.active_high);
            self.word = active.then(Vec::new);
        }
        let (Some(word), Some(one)) = (&mut self.word, self.data.high) else { return vec![] };
        let Some((true, lead)) = clock else { return vec![] };
        if self.clock.high != Some(self.rising) {
            return vec![];
        }
        word.push(one);
        if word.len() < self.length {
            return vec![];
        }
        if !self.most_first {
            word.reverse();
        }
        let value = word.drain(..).fold(0, |value, one| 2 * value + u32::from(one));
        vec![Sight { position, lead, what: Seen::Said(Said::Word(value)) }]
    }

    fn gap(&mut self) {
        self.clock.gap();
        self.data.gap();
        self.select.gap();
        self.word = None;
    }
}
