//! All that is measured of a record, by name: for tables, files, expectations and histograms.

mod found;
mod measurer;
mod quantities;
mod range;
mod unit;

pub use found::Found;
pub use measurer::{Measurer, config};
pub use quantities::{
    QUANTITIES, Quantity, doubt_in_words, find, kind_of_doubt, usual, why_no_tone,
};
pub use range::{Range, Ranges};
pub use unit::Unit;
