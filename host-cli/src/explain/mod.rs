//! Why a condition fired or did not: what came near, and what it lacked.
//!
//! ```text
//! blocks ─┬─► the trigger                ──► events, held off
//!         ├─► the condition relaxed      ──► candidates: times, or what was said
//!         └─► swings at each of its levels ► turns short of it, or not armed
//! ```

mod account;
mod bits;
mod bursts;
mod findings;
mod levels;
mod spread;
mod times;
mod watch;

pub use account::Explanation;
pub use levels::LevelAccount;
pub use spread::Bar;
pub use times::{Nearest, TimeAccount};

use std::collections::BTreeMap;

use stillwave::near::{Relaxed, TimeMisses};
use stillwave::{AnyComposition, AnyQualifiable, Holdoff, QualifiedConfig, Sample, Trigger};

use crate::error::Error;
use crate::plan::{Coupled, Described, TriggerPlan};
use crate::report::EventRow;
use bits::Bits;
use bursts::Bursts;
use findings::{Findings, Tally};
use spread::Spread;
use watch::Watch;

/// The most different things said on a line that are counted apart.
const SAID: usize = 200;

/// A trigger, and beside it all that explains it.
pub struct Explainer<T: Sample> {
    plan: TriggerPlan<T>,
    trigger: Trigger<Coupled<AnyComposition<T>>>,
    candidates: Option<Trigger<Coupled<AnyComposition<T>>>>,
    /// The condition without `--while`, if it has that.
    ungated: Option<Trigger<Coupled<AnyQualifiable<T>>>>,
    watch: Trigger<Coupled<Watch<T>>>,
    bursts: Option<Bursts<T>>,
    bits: Option<Bits<T>>,
    tally: Tally,
}

impl<T: Sample> Explainer<T> {
    /// Of the trigger of a plan.
    ///
    /// # Errors
    /// Settings that the engine does not take.
    pub fn new(plan: TriggerPlan<T>) -> Result<Self, Error> {
        let relaxed = Relaxed::of(&plan.setup);
        // A 64th of the converter's range, where that is known.
        let least = plan.channel(0).1.full_scale() / 64.0;
        let candidates = match &relaxed {
            Some(relaxed) => {
                Some(Trigger::new(plan.coupled(relaxed.setup.build()?)?, Holdoff::None)?)
            }
            None => None,
        };
        let ungated = match plan.setup.description().gate() {
            Some(QualifiedConfig { of, .. }) => {
                Some(Trigger::new(plan.coupled(of.build()?)?, Holdoff::None)?)
            }
            None => None,
        };
        let misses = relaxed.and_then(|relaxed| relaxed.time).map(TimeMisses::new).transpose()?;
        Ok(Self {
            trigger: Trigger::new(plan.condition()?, plan.holdoff)?,
            candidates,
            ungated,
            watch: Trigger::new(plan.coupled(Watch::new(&plan.setup, least)?)?, Holdoff::None)?,
            bursts: Bursts::of(&plan)?,
            bits: Bits::of(&plan)?,
            tally: Tally { misses, times: Spread::default(), said: BTreeMap::new() },
            plan,
        })
    }

    /// Takes the next samples of all channels.
    pub fn push(&mut self, channels: &[&[T]]) {
        self.trigger.push_channels(channels, |_| {});
        self.watch.push_channels(channels, |_| {});
        if let Some(ungated) = &mut self.ungated {
            ungated.push_channels(channels, |_| {});
        }
        if let Some(bits) = &mut self.bits {
            bits.see(channels);
        }
        let (tally, calibration) = (&mut self.tally, self.plan.channel(0).1);
        let mut edges = Vec::new();
        if let Some(candidates) = &mut self.candidates {
            candidates.push_channels(channels, |event| {
                if self.bursts.is_some() {
                    return edges.push(event);
                }
                if let (Some(misses), Some(time)) = (&mut tally.misses, event.kind.time()) {
                    misses.see(event.at, time);
                    tally.times.add(time.to_samples());
                } else {
                    let what = EventRow::new(&event, calibration).describe();
                    let is_beyond = tally.said.len() >= SAID && !tally.said.contains_key(&what);
                    let what = if is_beyond { "anything else".to_owned() } else { what };
                    *tally.said.entry(what).or_default() += 1;
                }
            });
        }
        if let Some(bursts) = &mut self.bursts {
            bursts.see(channels, &edges);
        }
    }

    /// What it all comes to.
    pub fn finish(self) -> Explanation {
        let mut watch = self.watch.condition().inner().clone();
        watch.finish();
        account::account(&Findings {
            plan: &self.plan,
            samples: self.trigger.position(),
            events: self.trigger.events(),
            held_off: self.trigger.held_off(),
            tally: &self.tally,
            candidates: self.candidates.as_ref().map(Trigger::events),
            ungated: self.ungated.as_ref().map(Trigger::events),
            watch: &watch,
            bursts: self.bursts.as_ref(),
            bits: self.bits.as_ref(),
        })
    }
}
