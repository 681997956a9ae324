//! A condition on several channels before the engine and before the oracle.

use crate::engine::{AnyCondition, Desk};
use crate::kind::Kind;
use crate::multi::seen;
use crate::oracle::many::{Sight, Watcher};
use crate::plan::{Step, actions, after, far, lost, plan};
use proptest::prelude::*;
use stillwave::{Condition, Holdoff, Trigger};

/// What to look for, where, and how it is handed over.
pub trait Scene<T: Kind> {
    /// What the engine looks for.
    fn condition(&self) -> AnyCondition<T>;
    /// What the oracle looks for.
    fn watcher(&self) -> Box<dyn Watcher<T::Exact>>;
    /// The signals, all of one length.
    fn channels(&self) -> &[Vec<T>];
    /// The lengths of blocks, in turn.
    fn lengths(&self) -> &[usize];
}

/// What happens between two samples.
#[derive(Clone, Debug)]
pub enum Act {
    /// So many samples are lost.
    Gap(u64),
    /// The stream begins anew.
    Reset,
}

/// Gaps, and now and then a new beginning.
pub fn act() -> impl Strategy<Value = Act> {
    prop_oneof![3 => lost().prop_map(Act::Gap), 1 => Just(Act::Reset)]
}

/// Up to `most` of them in a signal of up to `longest` samples, which may begin far from the start.
pub fn acts(most: usize, longest: usize) -> impl Strategy<Value = Vec<(usize, Act)>> {
    (far(), actions(act(), most, longest)).prop_map(|(far, actions)| after(far, Act::Gap, actions))
}

/// What the oracle sees, sample by sample.
pub fn by_oracle<T: Kind>(scene: &impl Scene<T>, actions: &[(usize, Act)]) -> Vec<Sight> {
    let (mut watcher, mut sights, mut position) = (scene.watcher(), vec![], 0);
    for step in plan(scene.channels()[0].len(), &[1], actions) {
        match step {
            Step::Block(range) => {
                for i in range {
                    let frame: Vec<_> = scene.channels().iter().map(|c| c[i].exact()).collect();
                    sights.extend(watcher.frame(position, &frame));
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                watcher.gap();
                position += lost;
            }
            Step::Act(Act::Reset) => (watcher, position) = (scene.watcher(), 0),
        }
    }
    sights
}

/// What the engine sees, block by block.
pub fn by_engine<T: Kind>(scene: &impl Scene<T>, actions: &[(usize, Act)]) -> Vec<Sight> {
    by_condition(scene.condition(), scene, actions)
}

/// What a condition sees, block by block.
///
/// # Panics
/// Where the engine has no trigger.
pub fn by_condition<T: Kind>(
    condition: impl Condition<Sample = T>,
    scene: &impl Scene<T>,
    actions: &[(usize, Act)],
) -> Vec<Sight> {
    let mut trigger = Trigger::new(condition, Holdoff::None).expect("a trigger");
    let mut desks = vec![Desk::default(); scene.channels().len()];
    let mut sights = vec![];
    for step in plan(scene.channels()[0].len(), scene.lengths(), actions) {
        match step {
            Step::Block(range) => {
                let channels = desks.iter_mut().zip(scene.channels());
                let block: Vec<&[T]> =
                    channels.map(|(desk, channel)| desk.lay(&channel[range.clone()])).collect();
                trigger.push_channels(&block, |event| sights.push(seen(event)));
            }
            Step::Act(Act::Gap(lost)) => trigger.gap(lost),
            Step::Act(Act::Reset) => trigger.reset(),
        }
    }
    sights
}
