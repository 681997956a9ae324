//! How far a decimator has come, and how it cuts the stream.

/// Samples come and outputs gone. After a gap, outputs go on where they would have been without
/// one: the samples before the first whole output belong to none.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Course {
    /// The position of the next sample.
    position: u64,
    /// The number of the next output.
    output: u64,
    /// Samples to come that belong to no output.
    skip: u64,
}

impl Course {
    /// Takes the next samples; gives those that belong to outputs.
    #[inline]
    pub(super) fn enter<'a, T>(&mut self, samples: &'a [T]) -> &'a [T] {
        self.position = self.position.saturating_add(samples.len() as u64);
        if self.skip == 0 {
            return samples;
        }
        let skipped = self.skip.min(samples.len() as u64);
        self.skip -= skipped;
        samples.get(skipped as usize..).unwrap_or(&[])
    }

    /// So many outputs were given.
    #[inline]
    pub(super) fn gave(&mut self, outputs: usize) {
        self.output = self.output.saturating_add(outputs as u64);
    }

    /// The number of the next output.
    pub(super) fn output(&self) -> u64 {
        self.output
    }

    /// Lost samples: the next output is the first that has none of them, nor any before them.
    /// Gives the number of outputs that will never come.
    pub(super) fn gap(&mut self, step: u32, lost: u64) -> u64 {
        self.position = self.position.saturating_add(lost);
        let step = u64::from(step.max(1));
        let next = self.position.div_ceil(step).max(self.output);
        self.skip = next.saturating_mul(step).saturating_sub(self.position);
        self.jump(next)
    }

    /// As [`gap`](Self::gap), for outputs made of whatever samples there are: gives the number of
    /// the output to go on with, and how many of its samples are past.
    pub(super) fn gap_into(&mut self, step: u32, lost: u64) -> (u64, u32) {
        self.position = self.position.saturating_add(lost);
        let step = u64::from(step.max(1));
        (self.position / step, (self.position % step) as u32)
    }

    /// Goes on with another output; gives how many are left out.
    pub(super) fn jump(&mut self, next: u64) -> u64 {
        let lost = next.saturating_sub(self.output);
        self.output = self.output.max(next);
        lost
    }
}

/// Cuts a stream into groups of `step` samples.
#[derive(Clone, Copy, Debug)]
pub(super) struct Groups {
    pub(super) step: u32,
    /// Samples that the group under way has.
    pub(super) filled: u32,
}

/// A block, cut.
pub(super) struct Cut<'a, T> {
    /// What the group under way gets, and whether that completes it.
    pub(super) head: &'a [T],
    pub(super) completes: bool,
    /// Whole groups.
    pub(super) whole: &'a [T],
    /// The beginning of the next group.
    pub(super) tail: &'a [T],
}

impl Groups {
    #[inline]
    pub(super) fn cut<'a, T>(&mut self, samples: &'a [T]) -> Cut<'a, T> {
        let step = self.step.max(1) as usize;
        let missing = if self.filled > 0 { step.saturating_sub(self.filled as usize) } else { 0 };
        let (head, rest) = samples.split_at(missing.min(samples.len()));
        let completes = self.filled > 0 && head.len() == missing;
        let (whole, tail) = rest.split_at(rest.len() - rest.len() % step);
        if completes || self.filled == 0 {
            self.filled = tail.len() as u32;
        } else {
            self.filled += head.len() as u32;
        }
        Cut { head, completes, whole, tail }
    }
}
