//! The code of one decimator: every.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::every);
