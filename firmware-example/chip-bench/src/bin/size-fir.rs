//! The code of one decimator: fir.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::fir);
