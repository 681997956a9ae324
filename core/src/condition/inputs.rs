//! Inputs: which channels, or single bits of them, a condition sees.
//!
//! ```text
//! channel 0, a voltage ───────────► input 0 ──┐
//!                                             ├─► condition
//! channel 1, a word    ── bit 3 ──► input 1 ──┘
//! ```

use crate::{Block, Condition, ConfigError, Event, Sample};

/// What a condition sees as one of its channels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Input {
    /// A channel of the stream, counted from 0.
    Channel(u8),
    /// One bit of a channel whose samples are digital words. Its level is [`Level::of_bit`](crate::Level::of_bit): edges of
    /// both slopes lie half way between two samples.
    Bit {
        /// The channel, counted from 0.
        channel: u8,
        /// The bit, counted from 0, the least significant; of an `f32`, of its whole part. Samples
        /// that are not finite are on no side here either.
        bit: u8,
    },
}

/// Words taken apart together.
const CHUNK: usize = 64;

/// A condition that sees `N` inputs as its channels 0 to N − 1, each a channel of the stream or
/// one bit of a channel: a digital trigger input beside analogue channels, or the lines of a logic
/// port.
///
/// Where the stream lacks one of the channels, it sees no samples at all.
///
/// Bits are taken apart in chunks of 64 samples, held here: 64·N samples of memory.
///
/// ```
/// use stillwave::{Block, Condition, Edge, Input, Inputs, Level, Qualified, Side, Slope};
/// // Edges of channel 0 while bit 3 of channel 1 is set.
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 0)?)?;
/// let gated = Qualified::new(edge, Level::of_bit().on_channel(1), Side::High)?;
/// let inputs = [Input::Channel(0), Input::Bit { channel: 1, bit: 3 }];
/// let mut condition = Inputs::new(gated, inputs)?;
///
/// let channels: [&[u8]; 2] = [&[0, 200, 0, 200], &[0b0111, 0b0111, 0b1111, 0b1000]];
/// let block = Block::new(0, &channels);
/// assert_eq!(condition.next(&block).map(|event| event.at.position), Some(3));
/// assert_eq!(condition.next(&block), None);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Inputs<C: Condition, const N: usize> {
    condition: C,
    seen: [Input; N],
    bits: [[C::Sample; CHUNK]; N],
    /// The chunk that the condition is at.
    start: u64,
    len: usize,
}

impl<C: Condition, const N: usize> Inputs<C, N> {
    /// `condition`, with `inputs` as its channels.
    ///
    /// # Errors
    /// A bit that samples do not have: from 8, 16 or 32 on, or for `f32` from 24 on.
    pub fn new(condition: C, inputs: [Input; N]) -> Result<Self, ConfigError> {
        for input in inputs {
            if let Input::Bit { bit, .. } = input
                && u32::from(bit) >= C::Sample::BITS
            {
                return Err(ConfigError::new("bit", f64::from(bit), "one that samples have"));
            }
        }
        let bits = [[C::Sample::default(); CHUNK]; N];
        Ok(Self { condition, seen: inputs, bits, start: 0, len: 0 })
    }

    /// Goes to the next chunk in `block`, if there is one.
    fn advance(&mut self, block: &Block<'_, C::Sample>) -> Option<()> {
        // Where the stream was joined, it is joined at the block's start.
        self.start = self.start.saturating_add(self.len as u64).max(block.start());
        self.len = 0;
        let offset = (self.start - block.start()) as usize;
        let left = block.len().checked_sub(offset).filter(|&left| left > 0)?;
        let whole = self.seen.iter().all(|input| matches!(input, Input::Channel(_)));
        self.len = if whole { left } else { left.min(CHUNK) };
        for (input, bits) in self.seen.iter().zip(&mut self.bits) {
            if let Input::Bit { channel, bit } = *input {
                let words = block.channel(usize::from(channel)).iter().skip(offset);
                for (line, word) in bits.iter_mut().zip(words) {
                    *line = word.bit(bit);
                }
            }
        }
        Some(())
    }
}

impl<C: Condition, const N: usize> Condition for Inputs<C, N> {
    type Sample = C::Sample;

    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        loop {
            if let Some(offset) = self.start.checked_sub(block.start()) {
                let range = offset as usize..(offset as usize).saturating_add(self.len);
                let mut channels: [&[C::Sample]; N] = [&[]; N];
                for ((samples, input), bits) in channels.iter_mut().zip(self.seen).zip(&self.bits) {
                    let found = match input {
                        Input::Channel(channel) => {
                            block.channel(usize::from(channel)).get(range.clone())
                        }
                        Input::Bit { channel, .. } if usize::from(channel) < block.channels() => {
                            bits.get(..self.len)
                        }
                        Input::Bit { .. } => None,
                    };
                    *samples = found.unwrap_or(&[]);
                }
                let event = self.condition.next(&Block::new(self.start, &channels));
                if event.is_some() {
                    return event;
                }
            }
            self.advance(block)?;
        }
    }

    fn gap(&mut self) {
        self.condition.gap();
    }

    fn reset(&mut self) {
        self.condition.reset();
        (self.start, self.len) = (0, 0);
    }
}
