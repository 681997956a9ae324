//! Data of our own invention, to try things on.

pub mod scene;
