//! The steps that knobs go through: 1, 2, 5 and their tens.

/// Divisions across the screen.
pub const DIVISIONS_ACROSS: u32 = 8;
/// How many of them lie before the trigger.
pub const DIVISIONS_BEFORE: u32 = 2;
/// Divisions from bottom to top.
pub const DIVISIONS_UP: u32 = 5;

/// Microseconds a division.
pub const TIMES_US: [u32; 16] = [
    10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000,
    500_000, 1_000_000,
];

/// Millivolts a division.
pub const VOLTS_MV: [u32; 8] = [50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000];

/// Microseconds of holdoff.
pub const HOLDOFFS_US: [u32; 18] = [
    0, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000,
    500_000, 1_000_000, 2_000_000,
];

/// The step `by` places from the one that holds `value` now, ends kept.
pub(crate) fn step(steps: &[u32], value: u32, by: i32) -> u32 {
    let here = steps.iter().rposition(|&step| step <= value).unwrap_or(0) as i32;
    let there = here.saturating_add(by).clamp(0, steps.len() as i32 - 1);
    steps.get(there as usize).copied().unwrap_or(value)
}

/// The smallest step that is `value` or more; the largest where none is.
pub(crate) fn at_least(steps: &[u32], value: u32) -> u32 {
    let found = steps.iter().find(|&&step| step >= value).or(steps.last());
    found.copied().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::{HOLDOFFS_US, TIMES_US, VOLTS_MV, at_least, step};

    #[test]
    fn steps_end_where_the_list_does() {
        assert_eq!(step(&TIMES_US, 100, 1), 200);
        assert_eq!(step(&TIMES_US, 100, -9), 10);
        assert_eq!(step(&VOLTS_MV, 10_000, 1), 10_000);
        assert_eq!(step(&HOLDOFFS_US, 0, 2), 20);
        // A value that another side set, between two steps.
        assert_eq!((step(&TIMES_US, 150, 1), step(&TIMES_US, 150, -1)), (200, 50));
        assert_eq!((at_least(&VOLTS_MV, 60), at_least(&VOLTS_MV, 20_000)), (100, 10_000));
    }
}
