//! What a signal should be, stated in a file before one looks at it.
//!
//! ```toml
//! # Any quantity, by the name it has in `stillwave measure --format json`:
//! frequency = { nominal = "440 Hz", tolerance = "0.5 %" }
//! high = "2.9 V..3.1 V"
//! rise_time = { at_most = "60 us" }
//!
//! [events]
//! count = "450..510"
//! apart = { nominal = "20 ms", tolerance = "0.5 ms" }
//!
//! # Lines through points: the time from the trigger, and the bound there.
//! [mask]
//! upper = [["-0.5 ms", "0.5 V"], ["0 ms", "3.2 V"], ["2 ms", "3.2 V"]]
//! lower = [["0.1 ms", "2.8 V"], ["1.4 ms", "2.8 V"]]
//! ```
//!
//! ```text
//! file ─► Expectation ─► Check ─► report (table, JSON, CSV, JUnit), picture
//!                          ▲
//!                    events, records
//! ```

mod check;
mod corners;
mod draft;
mod read;
mod value;

pub use check::{Check, Finding, Subject, Tally, Tested};
pub use corners::{Corner, Corners};
pub use draft::Draft;

use stillwave::expect::Limit;

use crate::measured::{QUANTITIES, Quantity};

/// What a signal should be, in volts and seconds as far as they are known.
#[derive(Debug, Clone, Default)]
pub struct Expectation {
    /// For quantities, by their place among [`QUANTITIES`].
    pub limits: Vec<(usize, Limit)>,
    /// Bounds over time.
    pub mask: Option<Corners>,
    /// How many events there should be.
    pub count: Option<Limit>,
    /// How far apart they should be.
    pub apart: Option<Limit>,
}

impl Expectation {
    /// The quantities that are stated.
    pub fn quantities(&self) -> impl Iterator<Item = &'static Quantity> {
        self.limits.iter().filter_map(|(index, _)| QUANTITIES.get(*index))
    }
}
