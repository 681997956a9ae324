//! The code of one decimator: envelope.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::envelope);
