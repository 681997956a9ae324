//! The code of a pulse trigger.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::pulse);
