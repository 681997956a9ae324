//! The last samples of every channel, in the caller's memory.

use core::marker::PhantomData;

/// A ring of samples for each channel, all of one depth: the buffer split into equal stretches.
#[derive(Clone, Debug)]
pub(super) struct Ring<T, B> {
    buffer: B,
    channels: usize,
    /// Where the next sample goes, in each stretch; below the depth.
    head: usize,
    /// How many of the last samples are held, at most the depth.
    held: usize,
    samples: PhantomData<T>,
}

impl<T: Copy, B: AsRef<[T]> + AsMut<[T]>> Ring<T, B> {
    pub(super) fn new(buffer: B, channels: usize) -> Self {
        Self { buffer, channels, head: 0, held: 0, samples: PhantomData }
    }

    /// Samples a channel that fit.
    pub(super) fn depth(&self) -> usize {
        self.buffer.as_ref().len().checked_div(self.channels).unwrap_or(0)
    }

    pub(super) fn channels(&self) -> usize {
        self.channels
    }

    pub(super) fn buffer(&self) -> &[T] {
        self.buffer.as_ref()
    }

    pub(super) fn held(&self) -> usize {
        self.held
    }

    /// Holds only the last `samples`.
    pub(super) fn keep(&mut self, samples: usize) {
        self.held = self.held.min(samples);
    }

    /// Appends the samples `from..to` of every channel.
    #[inline]
    pub(super) fn extend<'a>(&mut self, channel: impl Fn(usize) -> &'a [T], from: usize, to: usize)
    where
        T: 'a,
    {
        let depth = self.depth();
        if depth == 0 || from >= to {
            return;
        }
        // More than the ring holds need not be written.
        let from = from.max(to.saturating_sub(depth));
        let count = to - from;
        let head = if self.head < depth { self.head } else { 0 };
        let until_end = count.min(depth - head);
        for (index, stretch) in
            self.buffer.as_mut().chunks_exact_mut(depth).take(self.channels).enumerate()
        {
            let samples = channel(index).get(from..to).unwrap_or(&[]);
            let (first, second) = samples.split_at_checked(until_end).unwrap_or((samples, &[]));
            for (slot, sample) in stretch.iter_mut().skip(head).zip(first) {
                *slot = *sample;
            }
            for (slot, sample) in stretch.iter_mut().zip(second) {
                *slot = *sample;
            }
        }
        self.head = if head + count >= depth { head + count - depth } else { head + count };
        self.held = (self.held + count).min(depth);
    }

    /// Turns every stretch so that what is held stands at its beginning, oldest first.
    pub(super) fn straighten(&mut self) {
        let depth = self.depth();
        let start = if self.head >= self.held {
            self.head - self.held
        } else {
            (self.head + depth).saturating_sub(self.held)
        };
        if start == 0 || depth == 0 {
            return;
        }
        for stretch in self.buffer.as_mut().chunks_exact_mut(depth).take(self.channels) {
            // Three reversals are a rotation, in very little code.
            if let Some((old, new)) = stretch.split_at_mut_checked(start) {
                old.reverse();
                new.reverse();
            }
            stretch.reverse();
        }
        self.head = if self.held >= depth { 0 } else { self.held };
    }
}
