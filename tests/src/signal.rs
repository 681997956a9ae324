//! Signals made of stretches, each hard on the engine in its own way.

use crate::dice::Dice;
use crate::kind::Kind;
use proptest::collection::vec;
use proptest::prelude::*;

/// What a stretch of a signal is like.
#[derive(Clone, Copy, Debug)]
enum Shape {
    /// Anything at all.
    Noise,
    /// Only values next to something that is compared.
    Corners,
    /// Small steps up and down around the level.
    Walk,
    /// Two values in turn, in runs of any length.
    Square,
    /// One value for longer than the engine looks at together, then a few corners.
    Quiet,
    /// The least and the greatest sample.
    Extremes,
}

/// A recipe for a signal, and for broken samples: one in so many, none for 0.
#[derive(Clone, Debug)]
pub struct Recipe {
    stretches: Vec<(Shape, u16, u64)>,
    broken: u64,
}

/// Recipes of up to `stretches` stretches of up to `longest` samples each.
pub fn recipe(stretches: usize, longest: u16) -> impl Strategy<Value = Recipe> {
    use Shape::{Corners, Extremes, Noise, Quiet, Square, Walk};
    let shape = prop::sample::select(vec![Noise, Corners, Walk, Square, Quiet, Extremes]);
    let stretches = vec((shape, 1..longest, any::<u64>()), 1..=stretches);
    let broken = prop::sample::select(vec![0, 0, 2, 9, 100]);
    (stretches, broken).prop_map(|(stretches, broken)| Recipe { stretches, broken })
}

impl Recipe {
    /// The signal, for a comparison with this level and hysteresis.
    pub fn samples<T: Kind>(&self, level: T::Wide, hysteresis: T::Wide) -> Vec<T> {
        let corners = T::corners(level, hysteresis);
        let mut signal = Vec::new();
        for &(shape, length, seed) in &self.stretches {
            let mut dice = Dice::new(seed);
            let stretch = match shape {
                Shape::Noise => each(length, || T::noise(&mut dice)),
                Shape::Corners => each(length, || dice.pick(&corners)),
                Shape::Extremes => each(length, || dice.pick(&[T::MIN, T::MAX])),
                Shape::Walk => {
                    let mut steps = 0;
                    each(length, || {
                        steps = (steps + dice.below(5) as i32 - 2).clamp(-9, 9);
                        T::near(level, hysteresis, steps)
                    })
                }
                Shape::Square => {
                    let (mut this, mut other, mut left) =
                        (dice.pick(&corners), dice.pick(&corners), 0);
                    each(length, || {
                        if left == 0 {
                            left = 1 << dice.below(9);
                            std::mem::swap(&mut this, &mut other);
                        }
                        left -= 1;
                        this
                    })
                }
                Shape::Quiet => {
                    let quiet = vec![dice.pick(&corners); 300 + usize::from(length)];
                    quiet.into_iter().chain(each(3, || dice.pick(&corners))).collect()
                }
            };
            signal.extend(stretch.into_iter().map(|x| x.spoil(&mut dice, self.broken)));
        }
        signal
    }
}

fn each<T>(length: u16, mut next: impl FnMut() -> T) -> Vec<T> {
    (0..length).map(|_| next()).collect()
}
