//! The code of one decimator: average.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::average);
