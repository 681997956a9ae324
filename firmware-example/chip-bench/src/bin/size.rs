//! A program with one kernel and nothing else, for measuring its code: the one that the environment
//! variable `KERNEL` named when it was compiled; without it, none.

#![no_std]
#![no_main]

use chip_bench::{
    kernels::{Kernel, Run, named},
    signal::{BUSY, BUSY_8},
};
use core::{hint::black_box, panic::PanicInfo};

const KERNEL: Option<&Kernel> = match option_env!("KERNEL") {
    None => None,
    Some(name) => match named(name) {
        None => panic!("KERNEL names no kernel"),
        kernel => kernel,
    },
};

#[cortex_m_rt::entry]
fn main() -> ! {
    // What goes in and comes out is unknown to the optimiser, as it is on a board.
    let (counts, bytes) = (black_box(&BUSY[..]), black_box(&BUSY_8[..]));
    black_box(match const { KERNEL } {
        None => 0,
        Some(Kernel { run: Run::Counts(run), .. }) => run(counts),
        Some(Kernel { run: Run::Bytes(run), .. }) => run(bytes),
    });
    loop {
        cortex_m::asm::wfi();
    }
}

// The standard panic messages would be counted with the kernel.
#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    cortex_m::asm::udf()
}
