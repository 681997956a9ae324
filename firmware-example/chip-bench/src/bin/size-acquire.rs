//! The code of an edge trigger with its records.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::acquire);
