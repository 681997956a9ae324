//! The progress of a decimator, and how it cuts the stream.

/// The samples taken and the outputs given. After a gap, outputs continue where they would have
/// been without it: the samples before the first whole output belong to no output.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Course {
    /// The position of the next sample.
    position: u64,
    /// The number of the next output.
    output: u64,
    /// The number of samples to come that belong to no output.
    skip: u64,
}

impl Course {
    /// Takes the next samples, and returns those that belong to outputs.
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

    /// Counts outputs that were given.
    #[inline]
    pub(super) fn gave(&mut self, outputs: usize) {
        self.output = self.output.saturating_add(outputs as u64);
    }

    /// The number of the next output.
    pub(super) fn output(&self) -> u64 {
        self.output
    }

    /// Handles lost samples: the next output is the first that contains none of them, nor any
    /// before them. Returns the number of outputs that will never come.
    pub(super) fn gap(&mut self, step: u32, lost: u64) -> u64 {
        self.position = self.position.saturating_add(lost);
        let step = u64::from(step.max(1));
        let next = self.position.div_ceil(step).max(self.output);
        self.skip = next.saturating_mul(step).saturating_sub(self.position);
        self.jump(next)
    }

    /// Does the same as [`gap`](Self::gap), for outputs that are made of whatever samples there
    /// are. Returns the number of the output to continue with, and how many of its samples are
    /// past.
    pub(super) fn gap_into(&mut self, step: u32, lost: u64) -> (u64, u32) {
        self.position = self.position.saturating_add(lost);
        let step = u64::from(step.max(1));
        (self.position / step, (self.position % step) as u32)
    }

    /// Continues with another output, and returns how many are left out.
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
    /// The number of samples in the group in progress.
    pub(super) filled: u32,
}

/// A block that has been cut.
pub(super) struct Cut<'a, T> {
    /// The samples that the group in progress gets, and whether they complete it.
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
