//! An instruction counter made of the chip's own `SysTick`.
//!
//! With `-icount shift=0` the emulator's clock moves one nanosecond an
//! instruction. `SysTick` counts the board's clock, some dozens of instructions a
//! tick; a loop of known length tells how many.

use core::hint::black_box;

use cortex_m::peripheral::{SYST, syst::SystClkSource};
use semihosting::println;

/// `SysTick` counts down through 24 bits.
const FULL: u32 = 0x00ff_ffff;

/// Runs of the work in one measurement: enough ticks for two good decimals.
const RUNS: u32 = 50;

/// Rounds of the loop of known length. The difference of two lengths leaves
/// everything but the loop out.
const SHORT: u32 = 100_000;
const LONG: u32 = 4_100_000;
const INSTRUCTIONS_PER_ROUND: u64 = 2;

/// Counts instructions and prints a line a measurement.
pub struct Counter {
    systick: SYST,
    /// How often a tick is longer than an instruction, times 1024.
    instructions_per_1024_ticks: u64,
}

impl Counter {
    /// Starts `SysTick` and finds how many instructions a tick stands for.
    pub fn new(mut systick: SYST) -> Self {
        systick.set_clock_source(SystClkSource::Core);
        systick.set_reload(FULL);
        systick.clear_current();
        systick.enable_counter();
        let mut counter = Self { systick, instructions_per_1024_ticks: 0 };

        let short = counter.ticks(|| known_loop(SHORT));
        let long = counter.ticks(|| known_loop(LONG));
        let instructions = u64::from(LONG - SHORT) * INSTRUCTIONS_PER_ROUND;
        counter.instructions_per_1024_ticks = instructions * 1024 / u64::from(long - short);
        counter
    }

    /// Prints `name waveform instructions_per_sample` for work that reads `samples` samples.
    pub fn measure<R>(
        &mut self,
        name: &str,
        waveform: &str,
        samples: usize,
        mut work: impl FnMut() -> R,
    ) {
        let ticks = self.ticks(|| {
            for _ in 0..RUNS {
                black_box(work());
            }
        });
        let instructions = u64::from(ticks) * self.instructions_per_1024_ticks / 1024;
        let hundredths = instructions * 100 / (u64::from(RUNS) * samples as u64);
        println!("{name} {waveform} {}.{:02}", hundredths / 100, hundredths % 100);
    }

    fn ticks(&mut self, work: impl FnOnce()) -> u32 {
        self.systick.clear_current();
        let _ = self.systick.has_wrapped();
        let start = SYST::get_current();
        work();
        let end = SYST::get_current();
        assert!(!self.systick.has_wrapped(), "a measurement outlasted SysTick: fewer RUNS");
        start.wrapping_sub(end) & FULL
    }
}

/// Two instructions a round.
fn known_loop(rounds: u32) {
    // SAFETY: it changes the register it is given and the flags, nothing else.
    unsafe {
        core::arch::asm!("2:", "subs {0}, #1", "bne 2b", inout(reg) rounds => _, options(nomem, nostack));
    }
}
