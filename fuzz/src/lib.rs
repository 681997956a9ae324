//! What the targets share.
//!
//! A target is a function of bytes that must never panic, never take much memory, and never
//! disagree with what else is known: the same file read as a stream, a text written and read back,
//! an oracle.

pub mod core_input;
pub mod files;
pub mod recorded;

use cap::Cap;

/// What no input may go beyond; libFuzzer's own memory is not counted.
const MOST_BYTES: usize = 64 << 20;

/// Beyond its limit there is no memory, which ends the program.
#[global_allocator]
static MEMORY: Cap<std::alloc::System> = Cap::new(std::alloc::System, MOST_BYTES);
