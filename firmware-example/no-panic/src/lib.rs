//! A panic handler that no program can be linked with.
//!
//! It calls a function that exists nowhere. The linker drops the handler, and the
//! call with it, exactly where the optimiser has shown that no panic is reachable.

#![no_std]

use core::panic::PanicInfo;

#[cfg(target_arch = "arm")]
pub use cortex_m_rt::entry;
#[cfg(target_arch = "riscv32")]
pub use riscv_rt::entry;

unsafe extern "C" {
    safe fn a_panic_is_reachable() -> !;
}

#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    a_panic_is_reachable()
}
