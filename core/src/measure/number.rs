//! A sample as a number.

use crate::Sample;

/// The number of samples whose sum fits 32 bits: 2^15 samples of 16 bits.
pub(super) const CHUNK: usize = 1 << 15;

/// Calls `each` for every sample. Small chips take eight per iteration, which saves a few
/// instructions each; elsewhere the plain loop becomes vector code.
#[inline]
pub(super) fn for_each<T: Copy>(samples: &[T], mut each: impl FnMut(T)) {
    if cfg!(vectors) {
        for &x in samples {
            each(x);
        }
        return;
    }
    let (rounds, rest) = samples.as_chunks::<8>();
    for round in rounds {
        for &x in round {
            each(x);
        }
    }
    for &x in rest {
        each(x);
    }
}

/// The exact value of the sample as `f64`.
#[inline]
pub(super) fn real<T: Sample>(x: T) -> f64 {
    T::wide_to_f64(x.widen())
}

/// The nearest multiple of 1/65536, or the nearest one that fits. It works on the bits:
/// multiplication, rounding and conversion would cost a chip without `f64` about 500 instructions.
pub(super) fn fixed(level: f64) -> i64 {
    let bits = level.to_bits();
    let mantissa = bits & ((1 << 52) - 1) | 1 << 52;
    // level = ±mantissa · 2^(exponent − 1075)
    let exponent = ((bits >> 52) & 0x7ff) as i32;
    let shift = exponent - 1075 + 16;
    let size = match shift {
        11.. => i64::MAX,
        0.. => (mantissa << shift) as i64,
        -63..0 => ((mantissa + (1 << (-shift - 1))) >> -shift) as i64,
        _ => 0,
    };
    if level.is_sign_negative() { -size } else { size }
}

/// The quotient rounded down, by 32-bit division if that is wide enough; 0 for a divisor of 0.
#[inline]
pub(super) fn quotient(dividend: u64, divisor: u64) -> u64 {
    match (u32::try_from(dividend), u32::try_from(divisor)) {
        (Ok(a), Ok(b)) => u64::from(a.checked_div(b).unwrap_or(0)),
        _ => dividend.checked_div(divisor).unwrap_or(0),
    }
}

#[cfg(test)]
mod tests {
    use super::fixed;

    #[test]
    fn fixed_is_the_nearest() {
        for level in
            [0.0, 1.0, 0.1, 1750.0, 4095.99999, 4_294_967_295.4, 7e-6, 8e-6, 1e-300, 5e-324]
        {
            for level in [level, -level] {
                assert_eq!(fixed(level), libm::round(level * 65536.0) as i64, "{level}");
            }
        }
        for level in [1e18, 1e300, f64::INFINITY] {
            assert_eq!((fixed(level), fixed(-level)), (i64::MAX, -i64::MAX));
        }
    }
}
