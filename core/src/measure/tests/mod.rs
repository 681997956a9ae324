//! Checks against answers worked out by hand, and against plain `f64` arithmetic.

mod basic;
mod neighbours;
