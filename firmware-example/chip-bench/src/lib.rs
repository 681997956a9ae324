//! Counts what the engine costs a chip: instructions a sample, bytes of code.
//!
//! The emulator takes every instruction for one nanosecond ([`counter`]), so the
//! counts are the same on every machine. They are not cycles: a real chip adds
//! its wait states and multi-cycle instructions.

#![no_std]

pub mod counter;
pub mod kernels;
pub mod signal;
pub mod stack;

/// A program with one kernel and nothing else, for measuring its code.
#[macro_export]
macro_rules! size_program {
    ($kernel:path) => {
        #[cortex_m_rt::entry]
        fn main() -> ! {
            // What goes in and comes out is unknown to the optimiser, as it is on a board.
            let samples = core::hint::black_box(&$crate::signal::BUSY[..]);
            core::hint::black_box($kernel(samples));
            loop {
                cortex_m::asm::wfi();
            }
        }

        // The standard panic messages would be counted with the kernel.
        #[panic_handler]
        fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
            loop {
                cortex_m::asm::udf();
            }
        }
    };
}
