//! The code of all basic measurements.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::measure);
