//! A sample as the number it is.

use core::any::Any;

use crate::Sample;

/// Samples whose narrow sums fit 32 bits: 16-bit ones, 2^15 of them.
pub(super) const CHUNK: usize = 1 << 15;

/// A sample in the narrowest type that its arithmetic needs.
pub(super) enum Number {
    /// Of 8 or 16 bits: differences and short sums fit, so that small chips need no long words.
    Narrow(i32),
    /// Of 32 bits.
    Wide(i64),
    Real(f64),
}

/// The sample as a number. Which kind depends on `T` alone, so that the compiler keeps one arm of
/// a match on it.
#[inline]
pub(super) fn number<T: Sample>(x: T) -> Number {
    let wide = x.widen();
    let any: &dyn Any = &wide;
    if let Some(&x) = any.downcast_ref::<i32>() {
        Number::Narrow(x)
    } else if let Some(&x) = any.downcast_ref::<i64>() {
        Number::Wide(x)
    } else {
        Number::Real(T::wide_to_f64(wide))
    }
}

/// The sample as `f64`: exact.
#[inline]
pub(super) fn real<T: Sample>(x: T) -> f64 {
    T::wide_to_f64(x.widen())
}

/// A whole number as a level of integer samples; `None` for others, and beyond all levels.
pub(super) fn whole_level<T: Sample>(whole: i64) -> Option<T::Wide> {
    let mut wide = T::ZERO;
    let any: &mut dyn Any = &mut wide;
    if let Some(narrow) = any.downcast_mut::<i32>() {
        *narrow = i32::try_from(whole).ok()?;
    } else {
        *any.downcast_mut::<i64>()? = whole;
    }
    Some(wide)
}

/// The quotient rounded down, by 32-bit division where that will do; 0 for a divisor of 0.
#[inline]
pub(super) fn quotient(dividend: u64, divisor: u64) -> u64 {
    match (u32::try_from(dividend), u32::try_from(divisor)) {
        (Ok(a), Ok(b)) => u64::from(a.checked_div(b).unwrap_or(0)),
        _ => dividend.checked_div(divisor).unwrap_or(0),
    }
}
