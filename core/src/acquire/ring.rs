//! The last samples of every channel, in the caller's memory.

use core::cell::Cell;
use core::marker::PhantomData;
use core::slice::ChunksExactMut;

use crate::Block;

/// A ring of samples per channel, all of the same depth: the buffer split into equal sections.
#[derive(Clone, Debug)]
pub(super) struct Ring<T, B> {
    buffer: B,
    channels: usize,
    /// Where the next sample goes in each section; below the depth.
    head: usize,
    /// The number of newest samples that are held; at most the depth.
    held: usize,
    samples: PhantomData<T>,
}

impl<T: Copy, B: AsRef<[T]> + AsMut<[T]>> Ring<T, B> {
    pub(super) fn new(buffer: B, channels: usize) -> Self {
        Self { buffer, channels, head: 0, held: 0, samples: PhantomData }
    }

    /// The number of samples per channel that fit.
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

    /// Drops all samples but the last `samples`.
    pub(super) fn keep(&mut self, samples: usize) {
        self.held = self.held.min(samples);
    }

    /// Appends the samples `from..to` of every channel of `block`.
    pub(super) fn extend(&mut self, block: &Block<'_, T>, from: usize, to: usize) {
        let depth = self.depth();
        // More than the ring holds need not be written.
        let from = from.max(to.saturating_sub(depth));
        let count = to.saturating_sub(from);
        let head = if self.head < depth { self.head } else { 0 };
        for (index, stretch) in stretches(&mut self.buffer, depth).take(self.channels).enumerate() {
            let samples = block.channel(index).get(from..to).unwrap_or(&[]);
            let (old, ahead) = stretch.split_at_mut_checked(head).unwrap_or_default();
            let rest = copy(ahead, samples);
            copy(old, rest);
        }
        self.head = if head + count >= depth { head + count - depth } else { head + count };
        self.held = (self.held + count).min(depth);
    }

    /// Moves the held samples to the start of every section, oldest first. They stay there until
    /// more samples come than fit behind them.
    pub(super) fn straighten(&mut self) {
        let (depth, held, end) = (self.depth(), self.held, self.head);
        let wraps = end < held;
        let start = if wraps { (end + depth).saturating_sub(held) } else { end - held };
        if start == 0 {
            return;
        }
        for stretch in stretches(&mut self.buffer, depth).take(self.channels) {
            if !wraps {
                // From front to back: the two places may overlap.
                let cells = Cell::from_mut(stretch).as_slice_of_cells();
                for (to, from) in cells.iter().zip(cells.iter().skip(start)).take(held) {
                    to.set(from.get());
                }
                continue;
            }
            let (front, old) = stretch.split_at_mut_checked(start).unwrap_or_default();
            // The old behind the new, where there is room for it: less to turn.
            let (turned, split) = match front.get_mut(..held) {
                Some(turned) => {
                    copy(turned.get_mut(end..).unwrap_or_default(), old);
                    (turned, end)
                }
                None => (stretch, start),
            };
            // Three reversals are a rotation, in very little code.
            let (first, second) = turned.split_at_mut_checked(split).unwrap_or_default();
            reverse(first);
            reverse(second);
            reverse(turned);
        }
        self.head = if held >= depth { 0 } else { held };
    }
}

/// The sections of a buffer, each `depth` long.
#[inline]
fn stretches<T>(buffer: &mut impl AsMut<[T]>, depth: usize) -> ChunksExactMut<'_, T> {
    buffer.as_mut().chunks_exact_mut(depth.max(1))
}

/// Copies as many samples as there is room for, and returns the rest.
#[inline(never)]
fn copy<'a, T: Copy>(to: &mut [T], from: &'a [T]) -> &'a [T] {
    for (to, from) in to.iter_mut().zip(from) {
        *to = *from;
    }
    from.get(to.len()..).unwrap_or(&[])
}

#[inline(never)]
fn reverse<T>(samples: &mut [T]) {
    let mut left = samples.iter_mut();
    while let (Some(first), Some(last)) = (left.next(), left.next_back()) {
        core::mem::swap(first, last);
    }
}
