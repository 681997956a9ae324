//! Whether a state still rings when the next transition begins.

use super::number::real;
use super::rest::Rest;
use super::{Meter, StateLevels};
use crate::{Sample, Slope};

impl Meter {
    /// Whether a signal that rests and overshoots moves by more than a fiftieth of its amplitude in
    /// the last quarter of a state.
    #[inline(never)]
    pub(super) fn is_ringing<T: Sample>(&self, samples: &[T], rest: &Rest<T>) -> bool {
        if !rest.low_rests && !rest.high_rests {
            return false;
        }
        let StateLevels { low, high } = rest.levels;
        let size = 0.02 * (high - low) + 6.0 * rest.noise;
        let (bottom, top) = rest.extremes();
        let overshoots =
            (rest.high_rests && top > high + size) || (rest.low_rests && bottom < low - size);
        overshoots && self.rings_by(samples, rest, size)
    }

    /// Whether the signal moves by more than `size` in the last quarter of a state.
    #[cold]
    #[inline(never)]
    fn rings_by<T: Sample>(&self, samples: &[T], rest: &Rest<T>, size: f64) -> bool {
        let levels = super::meter::Levels { states: rest.levels, rest: Some(*rest) };
        let mut before: Option<usize> = None;
        let mut rings = false;
        // Noise alone moves thousands of samples by eight deviations.
        let size = size + 2.0 * rest.noise;
        let found = self.for_each_transition(samples, &levels, &mut |transition| {
            let rests = match transition.slope {
                Slope::Rising => rest.low_rests,
                Slope::Falling => rest.high_rests,
            };
            let until = transition.begin.unwrap_or(transition.mid).position as usize;
            let this = transition.mid.position as usize;
            let Some(last) = before.replace(this).filter(|_| rests) else { return };
            let from = last + until.saturating_sub(last) / 4 * 3;
            // The last sample before a transition belongs to it.
            let end = samples.get(from..until.saturating_sub(1)).unwrap_or(&[]);
            let mut inside = end.iter().filter(|&&x| rest.within.key_within(x).is_some());
            let Some(&first) = inside.next() else { return };
            let (mut bottom, mut top) = (first, first);
            for &x in inside {
                bottom = if x < bottom { x } else { bottom };
                top = if x > top { x } else { top };
            }
            rings |= real(top) - real(bottom) > size;
        });
        found.is_ok() && rings
    }
}
