//! Prints every measurement of some records: `record: name bits` or `record: name reason`.

#![no_std]
#![no_main]

use core::panic::PanicInfo;

use cortex_m as _; // the critical section that logging needs
use cortex_m_rt::entry;
use differential::measures;
use semihosting::{eprintln, println, process};

#[entry]
fn main() -> ! {
    measures::all(|record, name, value| match value {
        Ok(value) => println!("{record}: {name} {:016x}", value.to_bits()),
        Err(reason) => println!("{record}: {name} {reason}"),
    });
    process::exit(0)
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
