//! Signals that the benchmarks share.
