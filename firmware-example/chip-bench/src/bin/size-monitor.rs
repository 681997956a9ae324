//! The code of the clipping monitor.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::monitor);
