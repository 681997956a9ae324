//! The code of an edge and a pulse trigger with holdoff and records.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::both);
