//! How much stack some work takes: what it leaves of a pattern painted below.

use core::ptr::{read_volatile, write_volatile};

/// Words painted: less than any of the boards has left.
const WORDS: usize = 1024;
const PATTERN: u32 = 0xA5C3_96E1;
/// Words below this frame that it may use itself.
const OWN: usize = 16;

/// The stack of `work` in bytes, to some dozens; at most 4 KiB.
#[inline(never)]
pub fn used(work: impl FnOnce()) -> usize {
    let here = 0_u32;
    let top = (&raw const here).cast_mut().wrapping_sub(OWN);
    for word in 0..WORDS {
        // SAFETY: below the stack pointer nothing lives, and interrupts are off.
        unsafe { write_volatile(top.wrapping_sub(word), PATTERN) };
    }
    work();
    let kept = (0..WORDS)
        .rev()
        // SAFETY: as above.
        .take_while(|&word| unsafe { read_volatile(top.wrapping_sub(word)) } == PATTERN)
        .count();
    (WORDS - kept + OWN) * 4
}
