//! The sample types that the engine works on.

use core::fmt::{Debug, Display};

use crate::compare::scan::Scannable;
use crate::couple::Filterable;
use crate::decimate::kernels::Reducible;

/// Requires `defmt::Format` if that feature is on, and nothing otherwise.
#[cfg(feature = "defmt")]
pub trait MaybeFormat: defmt::Format {}
#[cfg(feature = "defmt")]
impl<T: defmt::Format> MaybeFormat for T {}

/// Requires `defmt::Format` if that feature is on, and nothing otherwise.
#[cfg(not(feature = "defmt"))]
pub trait MaybeFormat {}
#[cfg(not(feature = "defmt"))]
impl<T> MaybeFormat for T {}

/// Requires `serde::Serialize` if that feature is on, and nothing otherwise.
#[cfg(feature = "serde")]
pub trait MaybeSerialize: serde::Serialize {}
#[cfg(feature = "serde")]
impl<T: serde::Serialize> MaybeSerialize for T {}

/// Requires `serde::Serialize` if that feature is on, and nothing otherwise.
#[cfg(not(feature = "serde"))]
pub trait MaybeSerialize {}
#[cfg(not(feature = "serde"))]
impl<T> MaybeSerialize for T {}

mod sealed {
    pub trait Sealed {}
}

/// A sample in the narrowest type that its arithmetic needs.
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub enum Number {
    /// Samples of 8 or 16 bits: differences and short sums fit, so that small chips need no long
    /// words.
    Narrow(i32),
    /// Samples of 32 bits.
    Wide(i64),
    /// Floating-point samples.
    Real(f64),
}

impl Number {
    /// The number as an integer; exact for integer samples.
    #[inline]
    pub(crate) fn whole(self) -> i64 {
        match self {
            Self::Narrow(x) => x.into(),
            Self::Wide(x) => x,
            Self::Real(x) => x as i64,
        }
    }
}

/// One sample: `u8`, `i8`, `u16`, `i16`, `i32`, `u32` (converter counts) or `f32`.
///
/// The trait is sealed, because the rules of the engine are proved for these types.
///
/// A function for all sample types:
///
/// ```
/// use stillwave::{ConfigError, Level, Sample};
/// /// Half way up, with an eighth of the range for hysteresis.
/// fn middle<T: Sample>(low: T, high: T) -> Result<Level<T>, ConfigError> {
///     let range = T::saturating_sub(high.widen(), low.widen());
///     let eighth = T::eighth(range);
///     let half = [eighth; 4].into_iter().fold(low.widen(), T::saturating_add);
///     Level::new(half, eighth)
/// }
/// assert_eq!(middle(0_u16, 4000)?.level, 2000);
/// assert_eq!(middle(-1.0_f32, 1.0)?.level, 0.0);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
pub trait Sample:
    Copy
    + PartialOrd
    + Debug
    + Display
    + Default
    + Send
    + Sync
    + MaybeFormat
    + Scannable
    + Filterable
    + Reducible
    + sealed::Sealed
    + 'static
{
    /// The type of levels and hysteresis, wide enough for every difference of two samples:
    /// `i32` for 8- and 16-bit samples, `i64` for 32-bit ones, `f32` for `f32`.
    type Wide: Copy
        + PartialOrd
        + Debug
        + Display
        + Default
        + Send
        + Sync
        + MaybeFormat
        + MaybeSerialize
        + 'static;

    /// The smallest (finite) sample.
    const MIN: Self;
    /// The largest (finite) sample.
    const MAX: Self;
    /// The middle of the type's range: 0 for signed types and `f32`, otherwise 128, 32768 or
    /// 2147483648 (for `u8`, `u16`, `u32`). A coupling that removes the mean of a signal puts it
    /// here.
    const MIDDLE: Self;
    /// Zero, as a level or a hysteresis.
    const ZERO: Self::Wide;

    /// The smallest difference between two unequal samples: 1, or 0 for `f32`.
    const STEP: Self::Wide;

    /// The number of bits of a sample as a digital word; 24 for `f32`.
    const BITS: u32;

    /// The level between the two values that [`bit`](Self::bit) returns.
    const BETWEEN_BITS: Self::Wide;

    /// One bit of the sample as a digital word, as a sample: 0 if the bit is 0, 2 if it is 1. For
    /// an `f32`, it is a bit of its whole part. A sample that is not finite stays so.
    #[must_use]
    fn bit(self, bit: u8) -> Self;

    /// Converts the sample to a level.
    fn widen(self) -> Self::Wide;

    /// Whether the sample takes part in comparisons; `false` only for an `f32` that is not finite.
    fn is_finite(self) -> bool;

    /// Whether a level or hysteresis is a number.
    fn is_level(wide: Self::Wide) -> bool;

    /// Converts a level or hysteresis to `f64`, for messages and arithmetic outside the sample
    /// path.
    fn wide_to_f64(wide: Self::Wide) -> f64;

    /// The sample in the arithmetic that its type needs. The kind depends only on the type, so the
    /// compiler keeps one arm of a match on it.
    #[doc(hidden)]
    #[inline]
    fn number(self) -> Number {
        Self::wide_number(self.widen())
    }

    /// The level in the arithmetic that its type needs.
    #[doc(hidden)]
    fn wide_number(wide: Self::Wide) -> Number;

    /// A whole number as a level, for `f32` the nearest one; `None` if it is beyond all levels.
    fn wide_from_whole(whole: i64) -> Option<Self::Wide>;

    /// The level nearest to a number; `None` if it is not a number or is beyond all levels.
    fn wide_from_f64(value: f64) -> Option<Self::Wide>;

    /// `a - b`, limited to the range of levels.
    fn saturating_sub(a: Self::Wide, b: Self::Wide) -> Self::Wide;

    /// `a + b`, limited to the range of levels.
    fn saturating_add(a: Self::Wide, b: Self::Wide) -> Self::Wide;

    /// An eighth of a difference, rounded down for integers.
    fn eighth(wide: Self::Wide) -> Self::Wide;

    /// The smallest sample at or over `level`; `None` if there is none.
    fn at_or_over(level: Self::Wide) -> Option<Self>;

    /// The largest sample at or under `level`; `None` if there is none.
    fn at_or_under(level: Self::Wide) -> Option<Self>;

    /// The largest sample under `level`; `None` if there is none.
    fn under(level: Self::Wide) -> Option<Self>;

    /// The smallest sample over `level`; `None` if there is none.
    fn over(level: Self::Wide) -> Option<Self>;

    /// The next larger sample, or the largest one.
    #[must_use]
    fn successor(self) -> Self;

    /// The next smaller sample, or the smallest one.
    #[must_use]
    fn predecessor(self) -> Self;

    /// How far before `this` the straight line from `previous` to `this` passes `level`, in 1/65536
    /// of a sample, rounded down; 0 if `previous` is not finite. `level` must be between the two.
    fn lead(previous: Self, this: Self, level: Self) -> u32;
}

/// The lead for integer samples: `(this - level) / (this - previous)` in 1/65536, rounded down.
fn lead_u64(from_level: u64, from_previous: u64) -> u32 {
    match from_previous {
        0 => 0,
        whole => ((from_level.min(whole) << 16) / whole) as u32,
    }
}

/// Does the same as [`lead_u64`] within 32 bits, for samples of 16 bits or fewer: one division on
/// small chips.
fn lead_u32(from_level: u32, from_previous: u32) -> u32 {
    match from_previous {
        0 => 0,
        whole if from_level >= whole => 1 << 16,
        whole => fraction(from_level, whole),
    }
}

/// `part / whole` in 1/65536, rounded down; `part` must be below `whole`, and both have 16 bits.
#[cfg(not(all(target_arch = "arm", not(target_has_atomic = "32"))))]
#[inline]
fn fraction(part: u32, whole: u32) -> u32 {
    (part << 16) / whole
}

/// The same for chips that cannot divide (Arm without atomic operations). It computes only the
/// digits that are needed, where the compiler's division computes 32.
#[cfg(all(target_arch = "arm", not(target_has_atomic = "32")))]
#[inline]
fn fraction(part: u32, whole: u32) -> u32 {
    fraction_by_digits(part, whole)
}

#[cfg(any(test, all(target_arch = "arm", not(target_has_atomic = "32"))))]
#[inline(never)]
fn fraction_by_digits(part: u32, whole: u32) -> u32 {
    // The rest above the digits, in one word: they leave it just so much room but for the last.
    let (mut rest, over) = (part << 15, whole << 15);
    for _ in 0..15 {
        rest <<= 1;
        if rest >= over {
            rest -= over - 1;
        }
    }
    let (rest, digits) = (rest >> 15, rest & 0x7fff);
    digits << 1 | u32::from(rest << 1 >= whole)
}

macro_rules! integer_sample {
    ($($sample:ty, $wide:ty, $number:ident, $lead:ident, $distance:ty;)*) => {$(
        impl sealed::Sealed for $sample {}

        #[allow(clippy::cast_lossless)]
        impl Sample for $sample {
            type Wide = $wide;

            const MIN: Self = <$sample>::MIN;
            const MAX: Self = <$sample>::MAX;
            const MIDDLE: Self =
                ((<$sample>::MIN as i64 + <$sample>::MAX as i64 + 1) / 2) as $sample;
            const ZERO: $wide = 0;
            const STEP: $wide = 1;
            const BITS: u32 = <$sample>::BITS;
            const BETWEEN_BITS: $wide = 1;

            #[inline]
            fn bit(self, bit: u8) -> Self {
                (self.checked_shr(u32::from(bit)).unwrap_or(0) & 1) << 1
            }

            #[inline]
            fn widen(self) -> $wide {
                <$wide>::from(self)
            }

            #[inline]
            fn is_finite(self) -> bool {
                true
            }

            #[inline]
            fn is_level(_: $wide) -> bool {
                true
            }

            #[inline]
            fn wide_to_f64(wide: $wide) -> f64 {
                wide as f64
            }

            #[inline]
            fn wide_number(wide: $wide) -> Number {
                Number::$number(wide)
            }

            #[inline]
            fn wide_from_whole(whole: i64) -> Option<$wide> {
                <$wide>::try_from(whole).ok()
            }

            fn wide_from_f64(value: f64) -> Option<$wide> {
                let nearest = libm::round(value);
                // Both bounds as f64 lie on or outside the true ones by less than a rounding step.
                (nearest >= <$wide>::MIN as f64 && nearest < -(<$wide>::MIN as f64))
                    .then_some(nearest as $wide)
            }

            #[inline]
            fn saturating_sub(a: $wide, b: $wide) -> $wide {
                a.saturating_sub(b)
            }

            #[inline]
            fn saturating_add(a: $wide, b: $wide) -> $wide {
                a.saturating_add(b)
            }

            #[inline]
            fn eighth(wide: $wide) -> $wide {
                wide >> 3
            }

            #[inline]
            fn at_or_over(level: $wide) -> Option<Self> {
                if level <= <$wide>::from(Self::MIN) {
                    Some(Self::MIN)
                } else {
                    Self::try_from(level).ok()
                }
            }

            #[inline]
            fn at_or_under(level: $wide) -> Option<Self> {
                if level >= <$wide>::from(Self::MAX) {
                    Some(Self::MAX)
                } else {
                    Self::try_from(level).ok()
                }
            }

            #[inline]
            fn under(level: $wide) -> Option<Self> {
                level.checked_sub(1).and_then(Self::at_or_under)
            }

            #[inline]
            fn over(level: $wide) -> Option<Self> {
                level.checked_add(1).and_then(Self::at_or_over)
            }

            #[inline]
            fn successor(self) -> Self {
                self.saturating_add(1)
            }

            #[inline]
            fn predecessor(self) -> Self {
                self.saturating_sub(1)
            }

            #[inline]
            fn lead(previous: Self, this: Self, level: Self) -> u32 {
                $lead(
                    <$distance>::from(this.abs_diff(level)),
                    <$distance>::from(this.abs_diff(previous)),
                )
            }
        }
    )*};
}

integer_sample! {
    u8, i32, Narrow, lead_u32, u32;
    i8, i32, Narrow, lead_u32, u32;
    u16, i32, Narrow, lead_u32, u32;
    i16, i32, Narrow, lead_u32, u32;
    i32, i64, Wide, lead_u64, u64;
    u32, i64, Wide, lead_u64, u64;
}

impl sealed::Sealed for f32 {}

impl Sample for f32 {
    type Wide = f32;

    const MIN: Self = f32::MIN;
    const MAX: Self = f32::MAX;
    const MIDDLE: Self = 0.0;
    const ZERO: f32 = 0.0;
    const STEP: f32 = 0.0;
    /// Whole numbers of up to this many bits are exact.
    const BITS: u32 = f32::MANTISSA_DIGITS;
    const BETWEEN_BITS: f32 = 1.0;

    #[inline]
    fn bit(self, bit: u8) -> f32 {
        if self.is_finite() { f32::from((self as i32).bit(bit) as u8) } else { self }
    }

    #[inline]
    fn widen(self) -> f32 {
        self
    }

    #[inline]
    fn is_finite(self) -> bool {
        f32::is_finite(self)
    }

    #[inline]
    fn is_level(wide: f32) -> bool {
        wide.is_finite()
    }

    #[inline]
    fn wide_to_f64(wide: f32) -> f64 {
        f64::from(wide)
    }

    #[inline]
    fn wide_number(wide: f32) -> Number {
        Number::Real(wide.into())
    }

    fn wide_from_whole(whole: i64) -> Option<f32> {
        Some(whole as f32)
    }

    fn wide_from_f64(value: f64) -> Option<f32> {
        let nearest = value as f32;
        nearest.is_finite().then_some(nearest)
    }

    #[inline]
    fn saturating_sub(a: f32, b: f32) -> f32 {
        a - b
    }

    #[inline]
    fn saturating_add(a: f32, b: f32) -> f32 {
        a + b
    }

    #[inline]
    fn eighth(wide: f32) -> f32 {
        wide / 8.0
    }

    #[inline]
    fn at_or_over(level: f32) -> Option<f32> {
        if level == f32::NEG_INFINITY { Some(f32::MIN) } else { level.is_finite().then_some(level) }
    }

    #[inline]
    fn at_or_under(level: f32) -> Option<f32> {
        if level == f32::INFINITY { Some(f32::MAX) } else { level.is_finite().then_some(level) }
    }

    #[inline]
    fn under(level: f32) -> Option<f32> {
        Self::at_or_under(level.next_down())
    }

    #[inline]
    fn over(level: f32) -> Option<f32> {
        Self::at_or_over(level.next_up())
    }

    #[inline]
    fn successor(self) -> f32 {
        self.next_up().min(f32::MAX)
    }

    #[inline]
    fn predecessor(self) -> f32 {
        self.next_down().max(f32::MIN)
    }

    #[inline]
    fn lead(previous: f32, this: f32, level: f32) -> u32 {
        if !previous.is_finite() {
            return 0;
        }
        // In f64: no difference of two f32 overflows, and small ones keep their digits.
        let whole = f64::from(this) - f64::from(previous);
        let part = f64::from(this) - f64::from(level);
        // The cast saturates, and turns 0/0 into 0.
        ((part / whole * 65536.0) as u32).min(1 << 16)
    }
}

#[cfg(test)]
mod tests {
    use super::{fraction, fraction_by_digits};
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(100_000))]
        #[test]
        fn digits_are_those_of_a_division(whole in 1..=65_535_u32, part: u16) {
            for part in [u32::from(part) % whole, 0, whole - 1, whole / 2] {
                prop_assert_eq!(fraction_by_digits(part, whole), fraction(part, whole));
            }
        }
    }
}
