//! The frame without a kernel: what every other size is counted from.

#![no_std]
#![no_main]

chip_bench::size_program!(core::convert::identity);
