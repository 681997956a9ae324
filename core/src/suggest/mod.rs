//! Proposals of settings that give a steady picture of an unknown signal.
//!
//! ```text
//! signal ─► overview ─► does it move? ─► filter, if noise is strong ─► hysteresis and slope
//!           levels, noise                                                   │
//!           the setting in use, its jitter ◄─ holdoff, record ◄─ rhythm ◄───┘
//! ```
//!
//! [`suggest`] reads the whole signal several times, each time with the engine's own comparators
//! and filters, and holds no samples. A record in a board's memory works, and so does a file of any
//! length, which is read again for each pass ([`Replay`]). It takes about 8 KiB of stack, half of
//! that on a 32-bit chip.
//!
//! ```
//! use stillwave::suggest::{Means, suggest};
//! use stillwave::{Holdoff, Slope};
//! // Five pulses, then a gap.
//! let pulses = |i: i32| if i % 400 < 250 && i % 50 < 20 { 3000 } else { 500 };
//! let samples: Vec<u16> = (0..20_000).map(pulses).collect();
//! let Ok(found) = suggest(&mut &samples[..], Means::default());
//! let proposal = found.proposal.unwrap();
//! assert_eq!(proposal.slope, Slope::Rising);
//! // Half way, as fine as 256 steps of the range.
//! assert!((proposal.level.level - 1750).abs() <= 10);
//! // Past the last pulse of one burst, before the first of the next.
//! let Holdoff::Samples(holdoff) = proposal.holdoff else { unreachable!() };
//! assert!(200 < holdoff && holdoff < 400);
//! ```

mod beside;
mod filter;
mod jitter;
mod ladder;
mod magnitudes;
mod overview;
mod proposal;
mod replay;
mod rhythm;
mod ruler;
mod steepness;

pub use beside::{Beside, beside};
pub use jitter::Jitter;
pub use ladder::SlopeReason;
pub use overview::Overview;
pub use proposal::{HysteresisReason, LevelReason, Means, Proposal, Suggestion, suggest};
pub use replay::Replay;
pub use rhythm::{Bursts, Pattern};
pub use steepness::Intervals;
