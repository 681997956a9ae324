//! The display that the board is built for.

#[cfg(feature = "large-display")]
mod large;
#[cfg(not(feature = "large-display"))]
mod small;

#[cfg(feature = "large-display")]
pub(crate) use large::{CHUNK, Display, KILOHERTZ, Lines, open};
#[cfg(not(feature = "large-display"))]
pub(crate) use small::{CHUNK, Display, KILOHERTZ, open};
