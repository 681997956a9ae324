//! Every event, its instant and its width, for every way of handing a signal over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillwave_tests::cases::{Case, edges, pulses};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::plan::actions;
use stillwave_tests::stream::{Act, act, by_engine, by_oracle, by_positions};

type Busy<T> = (Case<T>, Vec<(usize, Act)>);

fn edge_cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (edges(6, 400), actions(act(), 6, 2000))
}

fn pulse_cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (pulses(6, 400), actions(act(), 6, 2000))
}

fn agree<T: Kind>((case, actions): &Busy<T>) -> Result<(), TestCaseError> {
    let expected = by_oracle(case, actions);
    prop_assert_eq!(&by_engine(case, actions), &expected);
    prop_assert_eq!(&by_positions(case, actions), &expected);
    Ok(())
}

for_every_type!(edges_are_where_they_are: agree over edge_cases, 1500);
for_every_type!(pulses_are_as_wide_as_they_are: agree over pulse_cases, 1500);

/// The properties above say nothing where there are no events.
fn events_in<T: Kind>(strategy: impl Strategy<Value = Busy<T>>) -> usize {
    let mut runner = TestRunner::deterministic();
    let cases = (0..100).map(|_| strategy.new_tree(&mut runner).unwrap().current());
    cases.filter(|(case, actions)| !by_oracle(case, actions).0.is_empty()).count()
}

#[test]
fn most_signals_have_events() {
    assert!(events_in(edge_cases::<u8>()) > 50);
    assert!(events_in(edge_cases::<i32>()) > 50);
    assert!(events_in(edge_cases::<f32>()) > 50);
    assert!(events_in(pulse_cases::<u8>()) > 40);
    assert!(events_in(pulse_cases::<i32>()) > 40);
    assert!(events_in(pulse_cases::<f32>()) > 40);
}
