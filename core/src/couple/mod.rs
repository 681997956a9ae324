//! Coupling filters the input of a condition. Records keep the unfiltered samples.
//!
//! ```text
//! samples ──┬── the filter ──► comparator ─► condition
//!           └───────────────► records
//! ```

mod coupling;
mod filter;

pub use coupling::{Corner, Coupling};
pub(crate) use filter::{Filter, Filterable};
