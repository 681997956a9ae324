//! Every event of conditions on several channels, for every way of handing the signals over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeMap;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::multi::{Many, ManyCase, many};
use stillwave_tests::oracle::many::Until;
use stillwave_tests::scene::{Act, acts, by_condition, by_engine, by_oracle};

type Busy<T> = (ManyCase<T>, Vec<(usize, Act)>);

fn cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (many(5, 300), acts(3, 1500))
}

fn agree<T: Kind>((case, actions): &Busy<T>) -> Result<(), TestCaseError> {
    let expected = by_oracle(case, actions);
    prop_assert_eq!(&by_engine(case, actions), &expected);
    let from_catalogue = case.composition().build().unwrap();
    prop_assert_eq!(&by_condition(from_catalogue, case, actions), &expected);
    Ok(())
}

for_every_type!(on_several_channels: agree over cases, 1500);

/// As above, of delays whose end must come while another channel is on a side.
fn gated_delays<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    let gated = |((mut case, actions), high): (Busy<T>, bool)| {
        let Many::Delay(bounds) = case.many else { return None };
        case.many = Many::QualifiedDelay { bounds, high };
        Some((case, actions))
    };
    (cases(), any::<bool>()).prop_filter_map("a delay", gated)
}

for_every_type!(on_delays_while_another_channel_is_so: agree over gated_delays, 200);

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
            Many::Qualified { .. } | Many::QualifiedDelay { .. } => "qualified",
            Many::SetupHold { .. } => "setup and hold",
            Many::Pattern(_, Until::Enters) => "pattern entered",
            Many::Pattern(_, Until::Leaves) => "pattern left",
            Many::Pattern(_, Until::Longer(_)) => "pattern longer",
            Many::Pattern(_, Until::Shorter(_)) => "pattern shorter",
        };
        *all.entry(kind).or_insert(0) += 1;
        *with.entry(kind).or_insert(0) += i32::from(!by_oracle(&case.0, &case.1).is_empty());
    }
    for (kind, all) in all {
        let with = with[kind];
        assert!(with * 6 > all, "{kind}: {with} of {all}");
    }
}
