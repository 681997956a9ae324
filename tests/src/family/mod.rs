//! Signals whose true values are known: what measurements are judged by.
//!
//! Every class of `Class` is crossed with noise (none, or a standard deviation of 0.01 to 10 % of
//! the amplitude), 8 to 16 bits, sampling that is locked to the signal or not, and 0.9 to 200
//! cycles in a record. A case is made from its class and one seed alone.
//!
//! Constants of the engine may be chosen on [`Seeds::Tuning`] only. Tests and the published table
//! use [`Seeds::Judged`], other cases of the same classes.

mod case;
mod judge;
mod shape;
mod sigma;
mod truth;

pub use case::{Case, Seeds};
pub use judge::{Score, Verdict, judge, table};
pub use shape::Class;
pub use sigma::{QUANTITIES, errors_in_sigmas, within_one_sigma};
pub use truth::Truth;
