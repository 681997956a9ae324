//! The latch with hysteresis, for 64 samples at once.

/// 64 samples against the two bounds: bit i is sample i. No sample is in both.
#[derive(Clone, Copy, Debug)]
pub(super) struct Masks {
    pub(super) high: u64,
    pub(super) low: u64,
}

/// The samples at which the signal changes sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Flips {
    pub(super) rising: u64,
    pub(super) falling: u64,
}

impl Masks {
    /// Whether any sample is on a side at all.
    #[inline(always)]
    pub(super) fn any(self) -> bool {
        self.high | self.low != 0
    }

    /// Only the first `count` samples; the others are on no side.
    #[inline(always)]
    pub(super) fn first(self, count: usize) -> Self {
        let kept = if count < 64 { (1 << count) - 1 } else { u64::MAX };
        Self { high: self.high & kept, low: self.low & kept }
    }

    /// Where the signal changes sides, and the side it ends on.
    ///
    /// A high sample makes a carry, a low one stops it, and one between hands it on: just what an
    /// addition of `high` and `!low` does. So the carry into a bit is the side before that sample.
    #[inline(always)]
    pub(super) fn flips(self, is_high: &mut bool) -> Flips {
        let (pass, make) = (!self.low, self.high);
        let (sum, carry) = pass.overflowing_add(make);
        let before = sum.wrapping_add(u64::from(*is_high)) ^ pass ^ make;
        // Spelled out, because the side is what the next 64 samples wait for.
        *is_high = carry | (*is_high & (sum == u64::MAX));
        Flips { rising: self.high & !before, falling: self.low & before }
    }
}
