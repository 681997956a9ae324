//! What all benchmarks share: signals, the loop one would write, and the most that is possible.
//!
//! Figures of a shared machine drift, so a time means little: what counts is its ratio to the read
//! limit, measured next to it in the same run. `table.py` makes a table of these ratios.

pub mod buffer;
pub mod decimate;
pub mod limit;
pub mod naive;
pub mod sample;
pub mod signal;

/// How many samples to look at: 64 Mi, more than any cache holds; few where the benchmarks are only
/// tried out (`-- --test`); or as the environment variable `STILLWAVE_BENCH_SAMPLES` says.
pub fn samples() -> usize {
    let asked = std::env::var("STILLWAVE_BENCH_SAMPLES").ok().and_then(|n| n.parse().ok());
    let trying_out = std::env::args().any(|argument| argument == "--test");
    asked.unwrap_or(if trying_out { 1 << 16 } else { 1 << 26 })
}
