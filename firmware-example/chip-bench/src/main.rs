//! Prints `kernel-waveform instructions_per_sample`, a line each.

#![no_std]
#![no_main]

use core::{hint::black_box, panic::PanicInfo};

use chip_bench::{
    counter::Counter,
    kernels::{
        acquire, average, both, boxcar, boxcar8, catalogue, cic, coupled, dropout, edge, edge8,
        envelope, envelope8, every, fir, interval, latch, measure, monitor, pulse, runt,
        transition, window,
    },
    signal::{BUSY, BUSY_8, QUIET, QUIET_8, SINE, SINE_8, SINE_100},
    stack,
};
use cortex_m_rt::entry;
use semihosting::{eprintln, println, process};

/// All waveforms through each kernel.
macro_rules! measure {
    ($counter:ident: $($kernel:ident),+) => {$(
        $counter.measure(concat!(stringify!($kernel), "-quiet"), QUIET.len(), || {
            $kernel(black_box(&QUIET))
        });
        $counter.measure(concat!(stringify!($kernel), "-sine"), SINE.len(), || {
            $kernel(black_box(&SINE))
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
    measure!(counter: latch, edge, pulse, interval, dropout, transition, runt, window);
    measure!(counter: acquire, both, catalogue, coupled, monitor);
    counter.measure("edge8-quiet", QUIET_8.len(), || edge8(black_box(&QUIET_8)));
    counter.measure("edge8-sine", SINE_8.len(), || edge8(black_box(&SINE_8)));
    counter.measure("edge8-busy", BUSY_8.len(), || edge8(black_box(&BUSY_8)));
    measure!(counter: every, envelope, boxcar, cic, fir);
    counter.measure("envelope8-sine", SINE_8.len(), || envelope8(black_box(&SINE_8)));
    counter.measure("boxcar8-sine", SINE_8.len(), || boxcar8(black_box(&SINE_8)));
    counter.measure("average-sine", 1000, || average(black_box(&SINE)));
    counter.measure("measure-sine", 1000, || measure(black_box(&SINE)));
    counter.measure("measure-sine-of-100", 1000, || measure(black_box(&SINE_100)));
    let stack = stack::used(|| {
        measure(black_box(&SINE_100));
    });
    println!("measure-stack-bytes {stack}");
    process::exit(0)
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
