//! A piece of the stream, as a DMA buffer or a file reader delivers it.

/// Samples of one or more channels from position `start` on: one slice per channel, of equal
/// length.
///
/// ```
/// use stillwave::Block;
/// let (left, right) = ([1u16, 2, 3], [4u16, 5, 6]);
/// let channels: [&[u16]; 2] = [&left, &right];
/// let block = Block::new(100, &channels);
/// assert_eq!((block.end(), block.channel(1)), (103, &right[..]));
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Block<'a, T> {
    start: u64,
    len: usize,
    channels: &'a [&'a [T]],
}

impl<'a, T> Block<'a, T> {
    /// A block whose first samples are at position `start`. It is as long as its shortest channel,
    /// and is cut off at the largest position that a `u64` can count.
    #[inline]
    pub fn new(start: u64, channels: &'a [&'a [T]]) -> Self {
        let countable = usize::try_from(u64::MAX - start).unwrap_or(usize::MAX);
        let len = channels.iter().map(|c| c.len()).min().unwrap_or(0).min(countable);
        Self { start, len, channels }
    }

    /// The position of the first sample.
    #[inline]
    pub fn start(&self) -> u64 {
        self.start
    }

    /// The position one past the last sample.
    #[inline]
    pub fn end(&self) -> u64 {
        // Not beyond the last that can be counted: the length is cut to that.
        self.start.wrapping_add(self.len as u64)
    }

    /// The number of samples in each channel.
    #[inline]
    pub fn len(&self) -> usize {
        self.len
    }

    /// Whether the block has no samples.
    #[inline]
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// The number of channels.
    #[inline]
    pub fn channels(&self) -> usize {
        self.channels.len()
    }

    /// The samples of one channel, counted from 0; empty if there is no such channel.
    #[inline]
    pub fn channel(&self, channel: usize) -> &'a [T] {
        match self.channels.get(channel) {
            Some(samples) => samples.get(..self.len).unwrap_or(&[]),
            None => &[],
        }
    }
}
