//! Every event of conditions on several channels, for every way of handing the signals over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeMap;
use stillwave::{Holdoff, Trigger};
use stillwave_tests::engine::Desk;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::multi::{Many, ManyCase, many, seen};
use stillwave_tests::oracle::many::{Sight, Until};
use stillwave_tests::plan::{Step, actions, lost, plan};

/// What happens between two samples.
#[derive(Clone, Debug)]
enum Act {
    /// So many samples are lost.
    Gap(u64),
    /// The stream begins anew.
    Reset,
}

type Busy<T> = (ManyCase<T>, Vec<(usize, Act)>);

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![3 => lost().prop_map(Act::Gap), 1 => Just(Act::Reset)]
}

fn cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (many(5, 300), actions(act(), 3, 1500))
}

fn oracle<T: Kind>((case, actions): &Busy<T>) -> Vec<Sight> {
    let (mut watcher, mut sights, mut position) = (case.watcher(), vec![], 0);
    for step in plan(case.channels[0].len(), &[1], actions) {
        match step {
            Step::Block(range) => {
                for i in range {
                    let frame: Vec<_> = case.channels.iter().map(|c| c[i].exact()).collect();
                    sights.extend(watcher.frame(position, &frame));
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                watcher.gap();
                position += lost;
            }
            Step::Act(Act::Reset) => (watcher, position) = (case.watcher(), 0),
        }
    }
    sights
}

fn engine<T: Kind>((case, actions): &Busy<T>) -> Vec<Sight> {
    let mut trigger = Trigger::new(case.condition(), Holdoff::None).unwrap();
    let mut desks = vec![Desk::default(); case.channels.len()];
    let mut sights = vec![];
    for step in plan(case.channels[0].len(), &case.lengths, actions) {
        match step {
            Step::Block(range) => {
                let channels = desks.iter_mut().zip(&case.channels);
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

fn agree<T: Kind>(case: &Busy<T>) -> Result<(), TestCaseError> {
    prop_assert_eq!(engine(case), oracle(case));
    Ok(())
}

for_every_type!(on_several_channels: agree over cases, 1500);

/// The property above says nothing where there are no events.
#[test]
fn most_signals_have_events() {
    let mut runner = TestRunner::deterministic();
    let (mut with, mut all) = (BTreeMap::new(), BTreeMap::new());
    for _ in 0..2000 {
        let case = cases::<u8>().new_tree(&mut runner).unwrap().current();
        let kind = match case.0.many {
            Many::Delay(_) => "delay",
            Many::CountFromStart(_) => "count from start",
            Many::CountFromQuiet(..) => "count from quiet",
            Many::CountFromOther(_) => "count from other",
            Many::Sequence { reset: false, .. } => "sequence",
            Many::Sequence { reset: true, .. } => "sequence with reset",
            Many::Qualified { .. } => "qualified",
            Many::SetupHold { .. } => "setup and hold",
            Many::Pattern(_, Until::Enters) => "pattern entered",
            Many::Pattern(_, Until::Leaves) => "pattern left",
            Many::Pattern(_, Until::Longer(_)) => "pattern longer",
            Many::Pattern(_, Until::Shorter(_)) => "pattern shorter",
        };
        *all.entry(kind).or_insert(0) += 1;
        *with.entry(kind).or_insert(0) += i32::from(!oracle(&case).is_empty());
    }
    for (kind, all) in all {
        let with = with[kind];
        assert!(with * 5 > all, "{kind}: {with} of {all}");
    }
}
