//! Prints `kernel-waveform instructions_per_sample`, a line each.

#![no_std]
#![no_main]

use core::{hint::black_box, panic::PanicInfo};

use chip_bench::{
    counter::Counter,
    kernels::{acquire, edge, latch, monitor, pulse},
    signal::{BUSY, QUIET},
};
use cortex_m_rt::entry;
use semihosting::{eprintln, process};

/// Both waveforms through each kernel.
macro_rules! measure {
    ($counter:ident: $($kernel:ident),+) => {$(
        $counter.measure(concat!(stringify!($kernel), "-quiet"), QUIET.len(), || {
            $kernel(black_box(&QUIET))
        });
        $counter.measure(concat!(stringify!($kernel), "-busy"), BUSY.len(), || {
            $kernel(black_box(&BUSY))
        });
    )+};
}

#[entry]
fn main() -> ! {
    let Some(peripherals) = cortex_m::Peripherals::take() else { process::exit(1) };
    let mut counter = Counter::new(peripherals.SYST);

    // Known beforehand: two instructions a count, so that a wrong measure shows.
    counter.measure("delay-of-2.00", 100_000, || cortex_m::asm::delay(black_box(100_000)));
    measure!(counter: latch, edge, pulse, acquire, monitor);
    process::exit(0)
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
