//! The sample types as the tests see them: exact values for the oracle, and levels, hysteresis
//! and samples that lie where mistakes would show.

use crate::dice::Dice;
use crate::oracle::{Number, couple};
use stillwave::Sample;

/// A sample type under test.
pub trait Kind: Sample {
    /// What the oracle compares.
    type Exact: Number + std::fmt::Debug;

    /// A sample for the oracle.
    fn exact(self) -> Self::Exact;

    /// A level or hysteresis for the oracle.
    fn exact_level(level: Self::Wide) -> Self::Exact;

    /// All bits, so that samples that are not numbers can be compared too.
    fn bits(self) -> u32;

    /// A level: mostly among the samples, sometimes at or beyond their ends.
    fn level(dice: &mut Dice) -> Self::Wide;

    /// A hysteresis: none, little, much, or more than any signal has.
    fn hysteresis(dice: &mut Dice) -> Self::Wide;

    /// Samples at, just under and just over everything that is compared, and at the ends.
    fn corners(level: Self::Wide, hysteresis: Self::Wide) -> Vec<Self>;

    /// A sample `steps` quarters of the hysteresis (or a few counts) from the level.
    fn near(level: Self::Wide, hysteresis: Self::Wide, steps: i32) -> Self;

    /// Any sample.
    fn noise(dice: &mut Dice) -> Self;

    /// The samples through a filter, high- or low-pass, whose gain is in 1/2³².
    fn coupled(samples: &[Self], gain: u32, high: bool) -> Vec<Self>;

    /// Now and then a sample that is not finite, where the type has such.
    #[must_use]
    fn spoil(self, dice: &mut Dice, one_in: u64) -> Self;
}

macro_rules! integer_kind {
    ($($sample:ty)*) => {$(
        #[allow(clippy::cast_lossless)]
        impl Kind for $sample {
            type Exact = i128;

            fn exact(self) -> i128 {
                i128::from(self)
            }

            fn exact_level(level: Self::Wide) -> i128 {
                i128::from(level)
            }

            fn bits(self) -> u32 {
                self as u32
            }

            fn level(dice: &mut Dice) -> Self::Wide {
                type Wide = <$sample as Sample>::Wide;
                let (min, max) = (Wide::from(Self::MIN), Wide::from(Self::MAX));
                let ends = [min - 1, min, min + 1, max - 1, max, max + 1, Wide::MIN, Wide::MAX, 0];
                match dice.below(4) {
                    0 => dice.pick(&ends),
                    _ => Wide::from(Self::noise(dice)),
                }
            }

            fn hysteresis(dice: &mut Dice) -> Self::Wide {
                type Wide = <$sample as Sample>::Wide;
                let range = Wide::from(Self::MAX) - Wide::from(Self::MIN);
                let small = dice.below(20) as Wide;
                let part = range / (1 << dice.below(7));
                dice.pick(&[0, 0, 1, small, small, part, part, range, Wide::MAX])
            }

            fn corners(level: Self::Wide, hysteresis: Self::Wide) -> Vec<Self> {
                let (level, back) = (i128::from(level), i128::from(hysteresis));
                let bases = [level - back, level - back / 2, level, level + back / 2, level + back];
                let around = bases.iter().flat_map(|b| [b - 1, *b, b + 1]).map(clamped);
                around.chain([Self::MIN, Self::MAX]).collect()
            }

            fn near(level: Self::Wide, hysteresis: Self::Wide, steps: i32) -> Self {
                let step = (i128::from(hysteresis) / 4).clamp(2, 1 << 30);
                clamped(i128::from(level) + step * i128::from(steps))
            }

            fn noise(dice: &mut Dice) -> Self {
                dice.bits() as Self
            }

            fn coupled(samples: &[Self], gain: u32, high: bool) -> Vec<Self> {
                // 0 for signed samples; 128, 32768, … for others.
                let middle = (i128::from(Self::MIN) + i128::from(Self::MAX) + 1) / 2;
                let samples: Vec<i128> = samples.iter().map(|x| x.exact()).collect();
                let passed = couple::counts(&samples, gain, high.then_some(middle));
                passed.into_iter().map(clamped).collect()
            }

            fn spoil(self, _: &mut Dice, _: u64) -> Self {
                self
            }
        }
    )*};
}

integer_kind! { u8 i8 u16 i16 u32 i32 }

/// The nearest sample.
fn clamped<T: Kind<Exact = i128> + TryFrom<i128>>(value: i128) -> T {
    let end = if value < 0 || value < T::MIN.exact() { T::MIN } else { T::MAX };
    T::try_from(value).unwrap_or(end)
}

impl Kind for f32 {
    type Exact = f32;

    fn exact(self) -> f32 {
        self
    }

    fn exact_level(level: f32) -> f32 {
        level
    }

    fn bits(self) -> u32 {
        self.to_bits()
    }

    fn level(dice: &mut Dice) -> f32 {
        let ends = [f32::MIN, f32::MAX, 0.0, -0.0, f32::MIN_POSITIVE, 1e-45, 1.0, -3.3];
        match dice.below(4) {
            0 => dice.pick(&ends),
            1 => Self::noise(dice),
            _ => dice.below(4000) as f32 / 100.0 - 20.0,
        }
    }

    fn hysteresis(dice: &mut Dice) -> f32 {
        let small = dice.below(1000) as f32 / 1000.0;
        dice.pick(&[0.0, 0.0, 1e-45, small, small, small * 10.0, f32::MAX])
    }

    fn corners(level: f32, hysteresis: f32) -> Vec<f32> {
        let half = hysteresis / 2.0;
        let bases = [level - hysteresis, level - half, level, level + half, level + hysteresis];
        let around = bases.iter().flat_map(|b| [b.next_down(), *b, b.next_up()]);
        let ends = [f32::MIN, f32::MAX, 0.0, -0.0];
        around.filter(|x| x.is_finite()).chain(ends).collect()
    }

    fn near(level: f32, hysteresis: f32, steps: i32) -> f32 {
        let step = (hysteresis / 4.0).max(level.abs() * 1e-6 + 1e-3).min(1e37);
        (level + step * steps as f32).clamp(f32::MIN, f32::MAX)
    }

    fn noise(dice: &mut Dice) -> f32 {
        let any = f32::from_bits(dice.bits() as u32);
        if any.is_finite() { any } else { 0.0 }
    }

    fn coupled(samples: &[Self], gain: u32, high: bool) -> Vec<Self> {
        couple::numbers(samples, gain, high)
    }

    fn spoil(self, dice: &mut Dice, one_in: u64) -> f32 {
        let broken = [f32::NAN, -f32::NAN, f32::INFINITY, f32::NEG_INFINITY];
        if one_in > 0 && dice.below(one_in) == 0 { dice.pick(&broken) } else { self }
    }
}
