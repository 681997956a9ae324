//! A block of samples, one run of memory a channel.

/// A block of samples that owns its memory and is filled again and again.
///
/// Each channel lies in a run of its own, since the engine follows one channel at a time.
#[derive(Debug, Clone, Default)]
pub struct Planes<T> {
    memory: Vec<Vec<T>>,
    capacity: usize,
    frames: usize,
}

impl<T: Copy + Default> Planes<T> {
    /// Room for `frames` samples of each of `channels` channels, empty at first.
    pub fn new(channels: usize, frames: usize) -> Self {
        Self { memory: vec![vec![T::default(); frames]; channels], capacity: frames, frames: 0 }
    }

    /// How many frames fit.
    pub fn capacity(&self) -> usize {
        self.capacity
    }

    /// How many frames the block holds now.
    pub fn frames(&self) -> usize {
        self.frames
    }

    /// How many channels the block has.
    pub fn width(&self) -> usize {
        self.memory.len()
    }

    /// The samples of one channel, counted from 0; empty where there is no such channel.
    pub fn channel(&self, index: usize) -> &[T] {
        self.memory.get(index).map_or(&[], |plane| &plane[..self.frames])
    }

    /// The samples of every channel in order.
    pub fn channels(&self) -> impl ExactSizeIterator<Item = &[T]> {
        self.memory.iter().map(|plane| &plane[..self.frames])
    }

    /// The whole memory of every channel, to be filled.
    pub(super) fn memory(&mut self) -> &mut [Vec<T>] {
        &mut self.memory
    }

    /// States how many frames were filled.
    pub(super) fn set_frames(&mut self, frames: usize) {
        self.frames = frames.min(self.capacity);
    }
}
