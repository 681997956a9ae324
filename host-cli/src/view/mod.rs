//! Pictures of records: all of them laid over each other on the trigger instant.
//!
//! ```text
//! records ─► Overlay ─► draw_terminal   text of braille dots
//!            (trace,    draw_svg        a drawing
//!             grid)     draw_png        the same drawing, as pixels
//! ```
//!
//! An overlay has a fixed size however many records it is given: it keeps the last few as lines,
//! and of all of them how often each place was passed. Long records are reduced to what a column
//! of the picture can show, of which the lowest and the highest are part: no spike is lost.
//!
//! Not supported: several channels in one picture; make an overlay for each.

pub mod chart;
mod draw;
mod grid;
mod histogram;
mod overlay;
mod picture;
mod png;
mod shapes;
mod style;
mod terminal;
mod ticks;
mod trace;

#[cfg(test)]
mod tests;

pub use draw::Picture;
pub use histogram::Histogram;
pub use overlay::{Bound, Overlay};
pub use terminal::terminal_size;

/// What a picture shows besides the records.
#[derive(Debug, Clone, PartialEq)]
pub struct Meta {
    /// What is pictured: a file's name, a channel's.
    pub title: String,
    /// The condition in words.
    pub condition: String,
    /// Samples a second; without it the time is in samples.
    pub rate: Option<f64>,
    /// The unit of the values.
    pub unit: Unit,
    /// How many samples are shown before the trigger instant.
    pub before: usize,
    /// How many are shown from it on.
    pub after: usize,
    /// Levels and thresholds.
    pub marks: Vec<Mark>,
    /// What was found; may be set when all records are in.
    pub tally: Tally,
    /// Of how many records the one shown is the mean; none where they are shown themselves.
    pub mean_of: Option<u64>,
}

/// The unit of the values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Codes of a converter.
    #[default]
    Counts,
    /// Floating-point values whose unit nobody stated.
    Values,
}

/// A horizontal line with a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What it is, in a word: `level`.
    pub name: String,
    /// Where it is, in the unit of the picture.
    pub value: f64,
    /// Whether it only helps: the threshold that arms, not the level that fires.
    pub minor: bool,
}

impl Mark {
    /// The level that fires.
    pub fn level(name: impl Into<String>, value: f64) -> Self {
        Self { name: name.into(), value, minor: false }
    }

    /// A threshold that only arms.
    pub fn minor(name: impl Into<String>, value: f64) -> Self {
        Self { name: name.into(), value, minor: true }
    }
}

/// How many of what were found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Events, accepted ones and others.
    pub events: u64,
    /// Events that came during holdoff.
    pub held_off: u64,
    /// Records that were forced without an event.
    pub forced: u64,
}

/// The size of a picture, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Across.
    pub width: u32,
    /// Down.
    pub height: u32,
}

impl Default for Size {
    fn default() -> Self {
        Self { width: 1200, height: 720 }
    }
}
