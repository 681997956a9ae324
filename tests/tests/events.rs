//! Every event, its instant and its width, for every way of handing a signal over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillwave::{Block, Trigger};
use stillwave_tests::cases::{Case, edges, hold, pulses};
use stillwave_tests::engine::{Desk, found, holdoff};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, Hold, Holdoff};
use stillwave_tests::plan::{Step, actions, lost, plan};

/// What happens between two samples.
#[derive(Clone, Debug)]
enum Act {
    /// So many samples are lost.
    Gap(u64),
    /// The stream begins anew.
    Reset,
    Hold(Hold),
}

type Busy<T> = (Case<T>, Vec<(usize, Act)>);

/// The events accepted, how many there were, and how many were held off.
type Outcome = (Vec<Found>, u64, u64);

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![3 => lost().prop_map(Act::Gap), 1 => Just(Act::Reset), 1 => hold().prop_map(Act::Hold)]
}

fn edge_cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (edges(6, 400), actions(act(), 6, 2000))
}

fn pulse_cases<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    (pulses(6, 400), actions(act(), 6, 2000))
}

fn oracle<T: Kind>((case, actions): &Busy<T>) -> Outcome {
    let (mut detector, mut holdoff) = (case.detector(), Holdoff::new(case.hold));
    let (mut accepted, mut events, mut held_off) = (Vec::new(), 0, 0);
    let mut position = case.start;
    for step in plan(case.samples.len(), &[1], actions) {
        match step {
            Step::Block(one) => {
                for &x in &case.samples[one] {
                    if let Some(event) = detector.sample(position, x.exact()) {
                        events += 1;
                        if holdoff.accepts(position) {
                            accepted.push(event);
                        } else {
                            held_off += 1;
                        }
                    }
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                detector.gap();
                position += lost;
            }
            Step::Act(Act::Reset) => {
                (detector, holdoff) = (case.detector(), Holdoff::new(case.hold));
                (position, events, held_off) = (0, 0, 0);
            }
            Step::Act(Act::Hold(hold)) => holdoff = Holdoff::new(hold),
        }
    }
    (accepted, events, held_off)
}

fn engine<T: Kind>((case, actions): &Busy<T>) -> Outcome {
    let mut trigger = Trigger::new(case.condition(0), holdoff(case.hold)).unwrap();
    let (mut accepted, mut desk) = (Vec::new(), Desk::default());
    trigger.gap(case.start);
    for step in plan(case.samples.len(), &case.lengths, actions) {
        match step {
            Step::Block(range) => {
                let block = desk.lay(&case.samples[range]);
                trigger.push(block, |event| accepted.push(found(event)));
            }
            Step::Act(Act::Gap(lost)) => trigger.gap(lost),
            Step::Act(Act::Reset) => {
                trigger.reset();
                // A reset clears what happened, not what was asked for.
                trigger.set_holdoff(holdoff(case.hold)).unwrap();
            }
            Step::Act(Act::Hold(hold)) => trigger.set_holdoff(holdoff(hold)).unwrap(),
        }
    }
    (accepted, trigger.events(), trigger.held_off())
}

/// As [`engine`], for a caller that counts positions: lost samples show in where a block begins.
fn positioned_engine<T: Kind>((case, actions): &Busy<T>) -> Outcome {
    let mut trigger = Trigger::new(case.condition(0), holdoff(case.hold)).unwrap();
    let (mut accepted, mut position) = (Vec::new(), case.start);
    for step in plan(case.samples.len(), &case.lengths, actions) {
        match step {
            Step::Block(range) => {
                let channels = [&case.samples[range]];
                let block = Block::new(position, &channels);
                accepted.extend(std::iter::from_fn(|| trigger.next(&block)).map(found));
                position = block.end();
            }
            Step::Act(Act::Gap(0)) => trigger.gap(0),
            Step::Act(Act::Gap(lost)) => position += lost,
            Step::Act(Act::Reset) => {
                trigger.reset();
                trigger.set_holdoff(holdoff(case.hold)).unwrap();
                position = 0;
            }
            Step::Act(Act::Hold(hold)) => trigger.set_holdoff(holdoff(hold)).unwrap(),
        }
    }
    (accepted, trigger.events(), trigger.held_off())
}

fn agree<T: Kind>(case: &Busy<T>) -> Result<(), TestCaseError> {
    let expected = oracle(case);
    prop_assert_eq!(&engine(case), &expected);
    prop_assert_eq!(&positioned_engine(case), &expected);
    Ok(())
}

for_every_type!(edges_are_where_they_are: agree over edge_cases, 1500);
for_every_type!(pulses_are_as_wide_as_they_are: agree over pulse_cases, 1500);

/// The properties above say nothing where there are no events.
fn events_in<T: Kind>(strategy: impl Strategy<Value = Busy<T>>) -> usize {
    let mut runner = TestRunner::deterministic();
    let cases = (0..100).map(|_| strategy.new_tree(&mut runner).unwrap().current());
    cases.filter(|case| !oracle(case).0.is_empty()).count()
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
