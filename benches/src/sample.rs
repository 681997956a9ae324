//! Samples as benchmarks make them.

use stillwave::Sample;

/// A sample type to be measured, at a signal of full scale around a level in the middle.
pub trait Bench: Sample + bytemuck::Pod {
    /// The name in reports.
    const NAME: &'static str;
    /// The level that triggers watch, in the middle of the range.
    const LEVEL: Self::Wide;
    /// A fortieth of the range.
    const HYSTERESIS: Self::Wide;

    /// A sample `x` away from the level; ±1 is the whole range.
    fn at(x: f32) -> Self;

    /// The larger of two, as vectors find it.
    #[must_use]
    fn larger(self, other: Self) -> Self;
}

macro_rules! bench_integer {
    ($($sample:ty, $wide:ty, $middle:expr;)*) => {$(
        impl Bench for $sample {
            const NAME: &'static str = stringify!($sample);
            const LEVEL: $wide = $middle;
            const HYSTERESIS: $wide = (<$sample>::MAX / 40) as $wide;

            fn at(x: f32) -> Self {
                (Self::LEVEL as f32 + x * (f32::from(Self::MAX) - Self::LEVEL as f32)) as Self
            }

            fn larger(self, other: Self) -> Self {
                self.max(other)
            }
        }
    )*};
}

bench_integer! {
    u8, i32, 128;
    i16, i32, 0;
    u16, i32, 1 << 15;
}

impl Bench for f32 {
    const NAME: &'static str = "f32";
    const LEVEL: f32 = 0.0;
    const HYSTERESIS: f32 = 0.05;

    fn at(x: f32) -> Self {
        x
    }

    fn larger(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
}
