//! Inputs: channels, filtered channels or single bits of channels as a condition sees them.
//!
//! ```text
//! channel 0, a voltage ─────────────────────► input 0 ──┐
//! channel 0            ── without its mean ─► input 1 ──┼─► condition
//! channel 1, a word    ── bit 3 ────────────► input 2 ──┘
//! ```

use core::ops::Range;

use crate::couple::Filter;
use crate::{Block, Condition, ConfigError, Coupling, Event, Sample};

/// What a condition sees as one of its channels.
///
/// A bit number must be one that samples of this type have.
///
/// ```
/// use stillwave::{Edge, Input, Inputs, Level, Slope};
/// let edge = Edge::new(Slope::Rising, Level::<u16>::of_bit())?;
/// assert!(Inputs::new(edge.clone(), [Input::Bit { channel: 0, bit: 15 }]).is_ok());
/// assert!(Inputs::new(edge, [Input::Bit { channel: 0, bit: 16 }]).is_err());
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Input {
    /// A channel of the stream, counted from 0.
    Channel(u8),
    /// A channel of the stream, filtered.
    Coupled {
        /// The channel, counted from 0.
        channel: u8,
        /// The filter.
        coupling: Coupling,
    },
    /// One bit of a channel whose samples are digital words. Its level is
    /// [`Level::of_bit`](crate::Level::of_bit); edges of both slopes are half way between two
    /// samples.
    Bit {
        /// The channel, counted from 0.
        channel: u8,
        /// The bit, counted from 0, the least significant; for an `f32`, a bit of its whole part.
        /// Samples that are not finite are on no side of a level here either.
        bit: u8,
    },
}

impl Input {
    /// The channel of the stream that this input comes from.
    fn channel(self) -> usize {
        match self {
            Self::Channel(channel) | Self::Coupled { channel, .. } | Self::Bit { channel, .. } => {
                channel.into()
            }
        }
    }

    /// Whether the input is an unchanged channel.
    fn is_plain(self) -> bool {
        matches!(self, Self::Channel(_) | Self::Coupled { coupling: Coupling::Dc, .. })
    }

    /// # Errors
    /// The errors of [`Inputs::new`].
    fn validated<T: Sample>(self) -> Result<Self, ConfigError> {
        match self {
            Self::Bit { bit, .. } if u32::from(bit) >= T::BITS => {
                Err(ConfigError::new("bit", f64::from(bit), "one that samples have"))
            }
            Self::Coupled { coupling, .. } => coupling.validated().map(|_| self),
            _ => Ok(self),
        }
    }
}

/// The number of samples for which bits or filtered channels are made at a time.
const CHUNK: usize = 64;

/// A condition that sees `N` inputs as its channels 0 to N − 1.
///
/// An input is a whole channel, one bit of a channel, or a channel without its mean, hum or noise
/// ([`Coupling`]); a digital trigger input may thus be beside analogue channels.
///
/// If the stream lacks one of the channels, the condition sees no samples at all. Positions are
/// those of the stream, and a recorder keeps the samples as they came.
///
/// Inputs that are not whole channels are made in chunks of 64 samples and held here: 64·N samples
/// of memory. If all inputs are whole channels, nothing is made.
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
    seen: Seen<C::Sample, N>,
}

impl<C: Condition, const N: usize> Inputs<C, N> {
    /// Makes a condition from `condition` and the `inputs` that it sees as its channels.
    ///
    /// # Errors
    /// A bit that samples do not have: 8, 16 or 32 and higher, or for `f32` 24 and higher. The
    /// errors of [`Coupling::validated`].
    pub fn new(condition: C, inputs: [Input; N]) -> Result<Self, ConfigError> {
        for input in inputs {
            input.validated::<C::Sample>()?;
        }
        Ok(Self { condition, seen: Seen::new(inputs) })
    }

    /// The condition, read-only.
    pub fn condition(&self) -> &C {
        &self.condition
    }
}

/// The inputs of a condition, and the part of them that it is looking at.
#[derive(Clone, Debug)]
struct Seen<T: Sample, const N: usize> {
    inputs: [Input; N],
    filters: [Filter<T>; N],
    made: [[T; CHUNK]; N],
    /// The chunk that the condition is looking at.
    start: u64,
    len: usize,
}

impl<T: Sample, const N: usize> Seen<T, N> {
    fn new(inputs: [Input; N]) -> Self {
        let filters = core::array::from_fn(|_| Filter::default());
        Self { inputs, filters, made: [[T::default(); CHUNK]; N], start: 0, len: 0 }
    }

    /// The range of `block` that the chunk covers.
    #[inline]
    fn chunk(&self, block: &Block<'_, T>) -> Option<Range<usize>> {
        let offset = self.start.checked_sub(block.start())? as usize;
        Some(offset..offset.saturating_add(self.len))
    }

    /// The channels of the chunk that the condition sees.
    #[inline]
    fn channels<'a>(&'a self, block: &Block<'a, T>, chunk: &Range<usize>) -> [&'a [T]; N] {
        let mut channels: [&[T]; N] = [&[]; N];
        for ((samples, input), made) in channels.iter_mut().zip(self.inputs).zip(&self.made) {
            let found = if input.is_plain() {
                block.channel(input.channel()).get(chunk.clone())
            } else if input.channel() < block.channels() {
                made.get(..self.len)
            } else {
                None
            };
            *samples = found.unwrap_or(&[]);
        }
        channels
    }

    /// Moves to the next chunk in `block`, if there is one.
    fn advance(&mut self, block: &Block<'_, T>) -> Option<()> {
        let next = self.start.saturating_add(self.len as u64);
        self.start = next.max(block.start());
        self.len = 0;
        if self.start > next {
            // The stream was joined here: what a filter has seen is of no account.
            self.gap();
        }
        let offset = (self.start - block.start()) as usize;
        let left = block.len().checked_sub(offset).filter(|&left| left > 0)?;
        let whole = self.inputs.iter().all(|input| input.is_plain());
        self.len = if whole { left } else { left.min(CHUNK) };
        let inputs = self.inputs.iter().zip(&mut self.made).zip(&mut self.filters);
        for ((input, made), filter) in inputs {
            let samples = block.channel(input.channel());
            let samples = samples.get(offset..offset.saturating_add(self.len)).unwrap_or(&[]);
            match *input {
                Input::Bit { bit, .. } => {
                    made.iter_mut().zip(samples).for_each(|(line, word)| *line = word.bit(bit));
                }
                Input::Coupled { coupling, .. } if !input.is_plain() => {
                    filter.pass(coupling, samples, made);
                }
                _ => {}
            }
        }
        Some(())
    }

    fn gap(&mut self) {
        self.filters.iter_mut().for_each(Filter::reset);
    }
}

impl<C: Condition, const N: usize> Condition for Inputs<C, N> {
    type Sample = C::Sample;

    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        let Self { condition, seen } = self;
        loop {
            if let Some(chunk) = seen.chunk(block) {
                let channels = seen.channels(block, &chunk);
                let event = condition.next(&Block::new(seen.start, &channels));
                if event.is_some() {
                    return event;
                }
            }
            seen.advance(block)?;
        }
    }

    fn for_each(
        &mut self,
        block: &Block<'_, C::Sample>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        let Self { condition, seen } = self;
        loop {
            if let Some(chunk) = seen.chunk(block) {
                let channels = seen.channels(block, &chunk);
                condition.for_each(&Block::new(seen.start, &channels), &mut accept, &mut f);
            }
            if seen.advance(block).is_none() {
                break;
            }
        }
    }

    fn gap(&mut self) {
        self.condition.gap();
        self.seen.gap();
    }

    fn reset(&mut self) {
        self.condition.reset();
        self.seen.gap();
        (self.seen.start, self.seen.len) = (0, 0);
    }
}
