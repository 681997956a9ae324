//! The code of an edge trigger.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::edge);
