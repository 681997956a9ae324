//! Coupling: what of a signal reaches a condition. The records keep the samples as they came.
//!
//! ```text
//! samples ──┬── the filter ──► comparator ─► condition
//!           └───────────────► records
//! ```

mod coupling;
mod filter;

pub use coupling::{Corner, Coupling};
pub(crate) use filter::{Filter, Filterable};
