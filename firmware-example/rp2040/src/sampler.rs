//! The converter, free-running, by two chained DMA channels into a ring of two blocks.
//!
//! ```text
//! ADC ─► FIFO ─► channel 0 ─► block 0 ─┐ interrupt
//!                    ▲    chain to     ▼
//!                    └─── channel 1 ─► block 1   interrupt
//! ```
//!
//! The channels start one another and each wraps around its own block, so that sampling never
//! waits for the processor. Whether a block was read in time is told by the clock, which runs from
//! the same crystal: a block takes 4096 µs, and after two of them it is written again. What was
//! not read in time is lost, and the number of samples lost is known exactly.

use core::ptr;
use core::sync::atomic::{Ordering, compiler_fence};

use rp2040_hal::adc::AdcFifo;
use rp2040_hal::dma::ReadTarget as _;
use rp2040_hal::pac;

/// Samples in a block.
pub(crate) const BLOCK: usize = 2_048;
/// A block's bytes, as a power of two: where a channel wraps.
const BLOCK_BITS: u8 = 12;
/// Samples a second: the converter's 48 MHz over 96 cycles (RP2040 datasheet, 4.9.2.1).
pub(crate) const RATE: u32 = 500_000;
/// µs in a block.
const PERIOD: u64 = BLOCK as u64 * 1_000_000 / RATE as u64;

/// Where the channels write: each wraps at a multiple of its block's size.
#[repr(C, align(4096))]
pub(crate) struct Ring([[u16; BLOCK]; 2]);

impl Ring {
    pub(crate) const fn new() -> Self {
        Self([[0; BLOCK]; 2])
    }
}

/// The running converter.
pub(crate) struct Sampler {
    dma: pac::DMA,
    fifo: AdcFifo<'static, u16>,
    ring: *const [u16; BLOCK],
    /// µs when it was started.
    started: u64,
    /// Blocks read or lost.
    done: u64,
}

// SAFETY: the ring behind the pointer is this sampler's alone.
unsafe impl Send for Sampler {}

/// What there is to take.
pub(crate) struct Taken<'a> {
    /// Samples lost before those of the block; `Some` also where the converter itself lost some,
    /// whose number is not known.
    pub(crate) lost: Option<u64>,
    /// The newest block, where it could be read in time.
    pub(crate) block: Option<&'a [u16; BLOCK]>,
}

impl Sampler {
    /// Starts it; `now` tells µs.
    pub(crate) fn start(
        dma: pac::DMA,
        resets: &mut pac::RESETS,
        mut fifo: AdcFifo<'static, u16>,
        ring: &'static mut Ring,
        now: impl FnOnce() -> u64,
    ) -> Self {
        resets.reset().modify(|_, w| w.dma().clear_bit());
        while resets.reset_done().read().dma().bit_is_clear() {}
        let ring: *const [u16; BLOCK] = (&raw const ring.0).cast();
        let (from, _) = fifo.dma_read_target().rx_address_count();
        // The one that the other starts comes first.
        for index in [1_usize, 0] {
            let channel = dma.ch(index);
            let to = ring.wrapping_add(index) as u32;
            // SAFETY: the converter's FIFO to the ring's block, and no farther: the channel wraps.
            unsafe {
                channel.ch_read_addr().write(|w| w.bits(from));
                channel.ch_write_addr().write(|w| w.bits(to));
                channel.ch_trans_count().write(|w| w.bits(BLOCK as u32));
                let other = 1 - index as u8;
                if index == 1 {
                    channel.ch_al1_ctrl().write(|w| {
                        w.data_size().size_halfword().incr_write().set_bit();
                        w.ring_size().bits(BLOCK_BITS).ring_sel().set_bit();
                        w.treq_sel().adc().chain_to().bits(other).en().set_bit()
                    });
                } else {
                    channel.ch_ctrl_trig().write(|w| {
                        w.data_size().size_halfword().incr_write().set_bit();
                        w.ring_size().bits(BLOCK_BITS).ring_sel().set_bit();
                        w.treq_sel().adc().chain_to().bits(other).en().set_bit()
                    });
                }
            }
        }
        // SAFETY: the interrupts of these two channels.
        dma.inte0().write(|w| unsafe { w.bits(0b11) });
        let started = now();
        fifo.resume();
        Self { dma, fifo, ring, started, done: 0 }
    }

    /// The newest block, read into `copy`. To be called at each interrupt of the channels.
    pub(crate) fn take<'a>(
        &mut self,
        copy: &'a mut [u16; BLOCK],
        now: impl Fn() -> u64,
    ) -> Taken<'a> {
        // SAFETY: the interrupts of these two channels, told and done.
        self.dma.ints0().write(|w| unsafe { w.bits(0b11) });
        let over = self.fifo.is_over().then_some(0);
        let complete = |at: u64| (at - self.started) / PERIOD;
        let newest = complete(now());
        let Some(block) = newest.checked_sub(1).filter(|_| newest > self.done) else {
            return Taken { lost: over, block: None };
        };
        compiler_fence(Ordering::SeqCst);
        // SAFETY: within the ring. A channel may write there if this is late: seen below.
        unsafe { ptr::copy_nonoverlapping(self.ring.wrapping_add((block % 2) as usize), copy, 1) };
        compiler_fence(Ordering::SeqCst);
        let in_time = complete(now()) == newest;
        let lost_blocks = newest - self.done - u64::from(in_time);
        self.done = newest;
        let lost = (lost_blocks > 0).then_some(lost_blocks * BLOCK as u64);
        Taken { lost: lost.or(over), block: in_time.then_some(copy) }
    }
}
