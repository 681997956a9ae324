//! The code of the hand-written latch.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::latch);
