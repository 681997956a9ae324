//! Prints `kernel waveform instructions_per_sample` and `kernel state bytes`, a line each.

#![no_std]
#![no_main]

use core::{hint::black_box, panic::PanicInfo};

use chip_bench::{
    counter::Counter,
    kernels::{ALL, Run, named},
    signal::{BUSY, BUSY_8, QUIET, QUIET_8, SINE, SINE_8, SINE_100},
    stack,
};
use cortex_m_rt::entry;
use semihosting::{eprintln, println, process};

#[entry]
fn main() -> ! {
    let Some(peripherals) = cortex_m::Peripherals::take() else { process::exit(1) };
    let mut counter = Counter::new(peripherals.SYST);

    // Known beforehand, so that a wrong measure shows.
    counter.measure("loop-of-2.00", "quiet", 100_000, || cortex_m::asm::delay(black_box(100_000)));
    let waveforms =
        [("quiet", &QUIET, &QUIET_8), ("sine", &SINE, &SINE_8), ("busy", &BUSY, &BUSY_8)];
    for kernel in ALL.iter().copied().flatten() {
        for (waveform, counts, bytes) in waveforms {
            counter.measure(kernel.name, waveform, kernel.samples, || match kernel.run {
                Run::Counts(run) => run(black_box(counts)),
                Run::Bytes(run) => run(black_box(bytes)),
            });
        }
        println!("{} state {}", kernel.name, kernel.state);
    }
    let Some(Run::Counts(measure)) = named("measure").map(|kernel| &kernel.run) else {
        process::exit(1)
    };
    counter.measure("measure-ten-cycles", "sine", 1000, || measure(black_box(&SINE_100)));
    let stack = stack::used(|| {
        measure(black_box(&SINE_100));
    });
    println!("measure-ten-cycles stack {stack}");
    process::exit(0)
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
