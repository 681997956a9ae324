//! Averages of records.

/// What a record has between two samples, in 1/65536 of a count.
pub(super) struct Whole(i64);

impl Whole {
    /// On the straight line to `this` from the sample before, `lead` 1/65536 of a sample early.
    #[inline]
    pub(super) fn between(before: i64, this: i64, lead: u32) -> Self {
        let lead = i64::from(lead);
        Self(before * lead + this * (65536 - lead))
    }

    /// Into a column that has `count` records.
    #[inline]
    pub(super) fn join(self, column: &mut i64, count: u64, shift: Option<u32>) {
        *column = match shift {
            _ if count == 0 => self.0,
            None => column.saturating_add(self.0),
            // Halfway cases go up: rounding alone never moves a column for good.
            Some(shift) => {
                let shift = shift.clamp(1, 16);
                column.saturating_add((self.0 - *column + (1 << (shift - 1))) >> shift)
            }
        };
    }
}

/// Real numbers: a running mean, which a sample that is not finite leaves alone.
#[inline]
pub(super) fn join_real(
    column: &mut f64,
    (before, this, lead): (f32, f32, u32),
    count: u64,
    shift: Option<u32>,
) {
    let (a, b, lead) = (f64::from(before), f64::from(this), f64::from(lead));
    let value = if lead == 0.0 { b } else { b + (a - b) * (lead / 65536.0) };
    if count == 0 {
        *column = value;
    } else if !value.is_finite() {
        return;
    }
    if !column.is_finite() {
        *column = if value.is_finite() { value } else { f64::NAN };
        return;
    }
    let part = match shift {
        None => count as f64 + 1.0,
        Some(shift) => f64::from(1_u32 << shift.min(16)),
    };
    *column += (value - *column) / part;
}
