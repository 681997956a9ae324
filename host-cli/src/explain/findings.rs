//! What was counted.

use std::collections::BTreeMap;

use stillwave::Sample;
use stillwave::near::TimeMisses;

use super::bits::Bits;
use super::bursts::Bursts;
use super::spread::Spread;
use super::watch::Watch;
use crate::plan::TriggerPlan;

/// All that was counted.
pub(super) struct Findings<'a, T: Sample> {
    pub(super) plan: &'a TriggerPlan<T>,
    pub(super) samples: u64,
    pub(super) events: u64,
    pub(super) held_off: u64,
    pub(super) tally: &'a Tally,
    pub(super) candidates: Option<u64>,
    /// Events of the condition without `--while`, if it has that.
    pub(super) ungated: Option<u64>,
    pub(super) watch: &'a Watch<T>,
    pub(super) bursts: Option<&'a Bursts<T>>,
    pub(super) bits: Option<&'a Bits<T>>,
}

/// What the candidates came to.
pub(super) struct Tally {
    pub(super) misses: Option<TimeMisses>,
    pub(super) times: Spread,
    /// What was said, and how often.
    pub(super) said: BTreeMap<String, u64>,
}
