//! The arithmetic of the rules: whole numbers for converter counts, `f32` as it is.

use std::ops::{Add, Sub};

/// What samples and levels are compared as.
pub trait Number: Copy + PartialOrd + Add<Output = Self> + Sub<Output = Self> {
    /// Whether it is above or below anything.
    fn is_number(self) -> bool;

    /// (this − level) / (this − previous) in 1/65536, rounded down.
    fn lead(previous: Self, this: Self, level: Self) -> u32;
}

impl Number for i128 {
    fn is_number(self) -> bool {
        true
    }

    fn lead(previous: Self, this: Self, level: Self) -> u32 {
        ((this - level) * 65536 / (this - previous)) as u32
    }
}

impl Number for f32 {
    fn is_number(self) -> bool {
        self.is_finite()
    }

    fn lead(previous: Self, this: Self, level: Self) -> u32 {
        let [previous, this, level] = [previous, this, level].map(f64::from);
        ((this - level) / (this - previous) * 65536.0).floor() as u32
    }
}
