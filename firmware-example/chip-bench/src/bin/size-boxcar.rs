//! The code of one decimator: boxcar.

#![no_std]
#![no_main]

chip_bench::size_program!(chip_bench::kernels::boxcar);
