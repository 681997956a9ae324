//! Counts what the engine costs a chip: instructions a sample, bytes of code and of state.
//!
//! The emulator takes every instruction for one nanosecond ([`counter`]), so the
//! counts are the same on every machine. They are not cycles: a real chip adds
//! its wait states and multi-cycle instructions.

#![no_std]

pub mod counter;
pub mod kernels;
pub mod signal;
pub mod stack;
