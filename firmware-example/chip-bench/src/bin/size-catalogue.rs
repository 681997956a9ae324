//! The code of the whole catalogue, chosen at run time, with records.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::catalogue);
