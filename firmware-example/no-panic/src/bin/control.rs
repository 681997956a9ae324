//! The control: an index out of reach of the optimiser. It must fail to link.

#![no_std]
#![no_main]

use core::hint::black_box;

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    let samples = [1_u16, 2, 3];
    black_box(samples[black_box(3)]);
    loop {
        core::hint::spin_loop();
    }
}
