//! How far a signal goes, looked at until it passes every level of a trigger: why nothing was found.

use stillwave::Sample;

use super::Mark;

/// The lowest and the highest finite sample, beside the levels.
pub struct Reach {
    marks: Vec<Mark>,
    /// In counts.
    range: Option<(f64, f64)>,
}

impl Reach {
    /// Of a signal that should pass these levels.
    pub fn new(marks: Vec<Mark>) -> Self {
        Self { marks, range: None }
    }

    /// Looks at the next samples, while there is a level that none has passed.
    pub fn push<T: Sample>(&mut self, samples: &[T]) {
        let inside = |mark: &Mark, (low, high): (f64, f64)| low < mark.counts && mark.counts < high;
        if self.range.is_some_and(|range| self.marks.iter().all(|mark| inside(mark, range))) {
            return;
        }
        let (low, high) = samples.iter().fold((T::MAX, T::MIN), |(low, high), &x| {
            let is_number = x.is_finite();
            (
                if is_number & (x < low) { x } else { low },
                if is_number & (x > high) { x } else { high },
            )
        });
        if low > high {
            return;
        }
        let [low, high] = [low, high].map(|x| T::wide_to_f64(x.widen()));
        let (lowest, highest) = self.range.unwrap_or((low, high));
        self.range = Some((lowest.min(low), highest.max(high)));
    }

    /// The levels, the lowest and the highest sample; nothing where there was no sample.
    pub(super) fn found(&self) -> Option<(&[Mark], f64, f64)> {
        self.range.map(|(lowest, highest)| (&*self.marks, lowest, highest))
    }
}
