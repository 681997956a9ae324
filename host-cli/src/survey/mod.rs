//! Events against a setting: where it may be without changing what is found.
//!
//! ```text
//! recording ─► counts, for many settings in one pass ─► stretches ─► table, chart
//! ```

mod chart;
mod counts;
mod stretches;

pub use chart::chart;
pub use counts::{Point, over_hysteresis, over_levels, over_widths};
pub use stretches::{Stretch, stretches, widest};
