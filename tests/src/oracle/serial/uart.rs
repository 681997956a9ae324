//! UART: bit n of a character is the line's side at the sample nearest to (n + ½) bits after its
//! beginning; a break is an absence of at least T.

use super::Said;
use crate::oracle::Number;
use crate::oracle::many::{Seen, Side, Sight, Watcher};

/// A line.
#[allow(missing_docs)]
pub struct Uart<N> {
    pub line: Side<N>,
    /// In 1/65536 of a sample.
    pub bit: u64,
    pub data_bits: u32,
    /// Whether there is a parity bit, and whether it is odd.
    pub parity: Option<bool>,
    pub idle: bool,
    /// Look for starts alone.
    pub starts: bool,
    /// Look for breaks of at least this, in 1/65536 of a sample, and for nothing else.
    pub pause: Option<u64>,
    /// Where a character began, and its bits so far.
    pub begin: Option<i128>,
    pub bits: Vec<bool>,
    pub away: Option<i128>,
}

impl<N: Number> Watcher<N> for Uart<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let here = i128::from(position) * 65536;
        let turn = self.line.frame(frame).filter(|(changed, _)| *changed);
        let turn = turn.map(|(_, lead)| here - i128::from(lead));
        let one = self.line.high == Some(self.idle);
        let said = match self.pause {
            Some(pause) => self.pause(here, turn, one, pause.into()),
            None => self.character(here, turn, one),
        };
        let said =
            said.filter(|said| self.pause.is_some() || self.starts == (*said == Said::Start));
        let sight = |said| Sight { position, lead: 0, what: Seen::Said(said) };
        said.map(sight).into_iter().collect()
    }

    fn gap(&mut self) {
        self.line.gap();
        (self.begin, self.away) = (None, None);
        self.bits.clear();
    }
}

impl<N: Number> Uart<N> {
    fn pause(&mut self, here: i128, turn: Option<i128>, one: bool, pause: i128) -> Option<Said> {
        let since = self.away;
        if let Some(turn) = turn {
            self.away = (!one).then_some(turn);
        }
        let since = since.or(self.away)?;
        let end = turn.filter(|_| one).unwrap_or(i128::MAX);
        if here < since + pause || end < since + pause {
            return None;
        }
        self.away = None;
        Some(Said::Break((here - since) as u64))
    }

    fn character(&mut self, here: i128, turn: Option<i128>, one: bool) -> Option<Said> {
        if self.begin.is_none() && turn.is_some() && !one {
            self.begin = turn;
        }
        let looked_at = self.begin? + i128::from(self.bit) * (2 * self.bits.len() as i128 + 1) / 2;
        let nearest = (looked_at + 32768).div_euclid(65536) * 65536;
        if here < nearest {
            return None;
        }
        self.bits.push(one);
        let length = 2 + self.data_bits as usize + usize::from(self.parity.is_some());
        if self.bits.len() == 1 {
            if one {
                (self.begin, self.bits) = (None, vec![]);
                return None;
            }
            return Some(Said::Start);
        }
        if self.bits.len() < length {
            return None;
        }
        let bits = std::mem::take(&mut self.bits);
        self.begin = None;
        let (data, rest) = bits[1..].split_at(self.data_bits as usize);
        let value = data.iter().enumerate().map(|(n, &one)| u16::from(one) << n).sum();
        let ones = bits[1..length - 1].iter().filter(|one| **one).count();
        match (rest.last(), self.parity) {
            (Some(false), _) if ones == 0 => None,
            (Some(false), _) => Some(Said::BadFrame(value)),
            (_, Some(odd)) if (ones % 2 == 1) != odd => Some(Said::BadParity(value)),
            _ => Some(Said::Character(value)),
        }
    }
}
