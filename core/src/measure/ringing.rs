//! Whether a state still rings when the next transition begins.

use super::number::real;
use super::rest::Rest;
use super::{Meter, StateLevels};
use crate::Sample;

impl Meter {
    /// Whether a signal that rests, and overshoots, moves by more than a fiftieth of its amplitude
    /// in the last quarter of a state.
    pub(super) fn rings<T: Sample>(&self, samples: &[T], rest: &Rest<T>) -> bool {
        let StateLevels { low, high } = rest.levels;
        let size = 0.02 * (high - low) + 6.0 * rest.noise;
        let (bottom, top) = rest.extremes();
        let overshoots =
            (rest.high_rests && top > high + size) || (rest.low_rests && bottom < low - size);
        if !overshoots {
            return false;
        }
        let levels = super::meter::Levels { states: rest.levels, rest: Some(*rest) };
        let Ok(transitions) = self.transitions_between(samples, &levels) else { return false };
        let mut before: Option<usize> = None;
        for transition in transitions {
            let until = transition.begin.unwrap_or(transition.mid).position as usize;
            let this = transition.mid.position as usize;
            let Some(last) = before.replace(this) else { continue };
            let from = last + until.saturating_sub(last) / 4 * 3;
            // The last sample before a transition belongs to it.
            let end = samples.get(from..until.saturating_sub(1)).unwrap_or(&[]);
            let mut inside = end.iter().filter(|&&x| rest.within.key_within(x).is_some());
            let Some(&first) = inside.next() else { continue };
            let (mut bottom, mut top) = (first, first);
            for &x in inside {
                bottom = if x < bottom { x } else { bottom };
                top = if x > top { x } else { top };
            }
            if real(top) - real(bottom) > size {
                return true;
            }
        }
        false
    }
}
