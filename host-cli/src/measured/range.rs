//! From where to where a quantity goes, in a record and over records.

use stillwave::measure::{Reason, Running};

/// What a quantity is in a record: its mean, and from where to where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The least.
    pub least: f64,
    /// The mean.
    pub mean: f64,
    /// The greatest.
    pub greatest: f64,
}

impl Range {
    /// Of one value.
    pub fn of(value: f64) -> Self {
        Self { least: value, mean: value, greatest: value }
    }
}

/// What a quantity comes to over records: the mean of their means, and the ends of all.
#[derive(Debug, Clone, Default)]
pub struct Ranges {
    means: Running,
    ends: Running,
}

impl Ranges {
    /// Takes the next record's.
    pub fn push(&mut self, range: Result<Range, Reason>) {
        self.means.push(range.map(|range| range.mean));
        if let Ok(Range { least, greatest, .. }) = range {
            self.ends.push(Ok(least));
            self.ends.push(Ok(greatest));
        }
    }

    /// How many there were, and how many records had none.
    pub fn counts(&self) -> (u64, u64) {
        (self.means.count(), self.means.missing())
    }

    /// The least, the mean of all means and the greatest.
    ///
    /// # Errors
    /// [`Reason::Empty`] where there was none.
    pub fn total(&self) -> Result<Range, Reason> {
        let (least, greatest) = (self.ends.minimum()?, self.ends.maximum()?);
        Ok(Range { least, mean: self.means.mean()?, greatest })
    }
}
