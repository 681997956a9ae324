//! Everything said on serial lines, for every way of handing the lines over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeMap;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::many::Seen;
use stillwave_tests::oracle::serial::Said;
use stillwave_tests::scene::{Act, acts, by_engine, by_oracle};
use stillwave_tests::serial::{SerialCase, serial};

type Busy<T> = (SerialCase<T>, Vec<(usize, Act)>);

fn cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (serial(), acts(2, 2000))
}

fn agree<T: Kind>((case, actions): &Busy<T>) -> Result<(), TestCaseError> {
    prop_assert_eq!(by_engine(case, actions), by_oracle(case, actions));
    Ok(())
}

for_every_type!(serial_lines: agree over cases, 800);

/// The property above says nothing where nothing is said.
#[test]
fn everything_is_said() {
    let mut runner = TestRunner::deterministic();
    let mut times = BTreeMap::new();
    for _ in 0..1000 {
        let (case, actions) = cases::<u16>().new_tree(&mut runner).unwrap().current();
        for sight in by_oracle(&case, &actions) {
            let Seen::Said(said) = sight.what else { panic!("{sight:?}") };
            let kind = match said {
                Said::Start => "start",
                Said::Stop => "stop",
                Said::Character(_) => "character",
                Said::BadFrame(_) => "bad frame",
                Said::BadParity(_) => "bad parity",
                Said::Break(_) => "break",
                Said::Address { acknowledged: true, .. } => "address",
                Said::Address { .. } => "address without acknowledgement",
                Said::Data { acknowledged: true, .. } => "data",
                Said::Data { .. } => "data without acknowledgement",
                Said::Word(_) => "word",
            };
            *times.entry(kind).or_insert(0) += 1;
        }
    }
    assert_eq!(times.len(), 11, "{times:?}");
    assert!(times.values().all(|&times| times > 20), "{times:?}");
}
