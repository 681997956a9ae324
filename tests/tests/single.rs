//! Intervals, dropouts, transitions, runts and windows: every event, for every way of handing a
//! signal over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillwave::{Block, Holdoff, Trigger};
use stillwave_tests::dice::Dice;
use stillwave_tests::engine::{Desk, found};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, When, Width};
use stillwave_tests::plan::{Step, actions, plan};
use stillwave_tests::single::{self, Asked, Single, Way};
use stillwave_tests::stream::{Act, act, by_engine, by_oracle, by_positions};

type Busy<T> = (Single<T>, Vec<(usize, Act)>);

fn busy<T: Kind>(case: impl Strategy<Value = Single<T>>) -> impl Strategy<Value = Busy<T>> {
    (case, actions(act(), 3, 3000))
}

fn pulses<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::pulses())
}

fn intervals<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::intervals())
}

fn dropouts<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::dropouts())
}

fn transitions<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::transitions())
}

fn runts<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::runts())
}

fn windows<T: Kind>() -> impl Strategy<Value = Busy<T>> {
    busy(single::windows())
}

/// As the engine without gaps, asked for one event after the other and then, in the same block,
/// for the rest at once.
fn engine_in_a_hurry<T: Kind>(case: &Single<T>) -> Vec<Found> {
    let condition = case.setup(0).build().unwrap();
    let mut trigger = Trigger::new(condition, Holdoff::None).unwrap();
    let (mut events, mut turn) = (Vec::new(), 0);
    for step in plan::<()>(case.samples.len(), &case.lengths, &[]) {
        let Step::Block(range) = step else { continue };
        let channels = [&case.samples[range]];
        let block = Block::new(trigger.position(), &channels);
        turn = (turn + 1) % 4;
        events.extend(std::iter::from_fn(|| trigger.next(&block)).take(turn).map(found));
        // Unless it came to the end of the block.
        if trigger.position() == block.start() {
            trigger.push(channels[0], |event| events.push(found(event)));
        }
    }
    events
}

fn agree<T: Kind>((case, actions): &Busy<T>) -> Result<(), TestCaseError> {
    let expected = by_oracle(case, actions);
    prop_assert_eq!(&by_engine(case, actions), &expected);
    prop_assert_eq!(&by_positions(case, actions), &expected);
    prop_assert_eq!(engine_in_a_hurry(case), case.events());
    Ok(())
}

for_every_type!(pulses_of_either_polarity: agree over pulses, 400);
for_every_type!(intervals_run_from_edge_to_edge: agree over intervals, 700);
for_every_type!(dropouts_come_while_it_is_quiet: agree over dropouts, 700);
for_every_type!(transitions_take_as_long_as_they_do: agree over transitions, 700);
for_every_type!(runts_fall_short_of_the_second_level: agree over runts, 700);
for_every_type!(windows_are_entered_and_left: agree over windows, 700);

/// The properties above say nothing where there are no events.
#[test]
fn many_signals_have_events() {
    fn count<T: Kind>(cases: impl Strategy<Value = Busy<T>>) -> usize {
        let mut runner = TestRunner::deterministic();
        let cases = (0..200).map(|_| cases.new_tree(&mut runner).unwrap().current());
        cases.filter(|(case, actions)| !by_oracle(case, actions).0.is_empty()).count()
    }
    fn counts<T: Kind>() -> [usize; 5] {
        [
            count(intervals::<T>()),
            count(dropouts::<T>()),
            count(transitions::<T>()),
            count(runts::<T>()),
            count(windows::<T>()),
        ]
    }
    for counts in [counts::<u8>(), counts::<i32>(), counts::<f32>()] {
        assert!(counts.iter().all(|count| *count > 60), "{counts:?} of 200");
    }
}

const LENGTH: usize = 30;

/// A short signal full of corners, one in four of them broken where that can be.
fn short<T: Kind>(asked: Asked, way: Way, seed: u64) -> Single<T> {
    let mut dice = Dice::new(seed);
    let hysteresis = T::near(T::ZERO, T::ZERO, dice.below(2) as i32 * 2).widen();
    let [low, high] = [4, 12].map(|steps| T::near(T::ZERO, T::ZERO, steps).widen());
    let mut corners = [T::corners(low, hysteresis), T::corners(high, hysteresis)].concat();
    corners.sort_by(|a, b| a.partial_cmp(b).expect("corners are numbers"));
    // Every other signal leaps no further than from one level to the next.
    let furthest = corners.len() as u64 / [1, 3][seed as usize % 2];
    let mut at = 0;
    let mut next = || {
        at = (at + dice.below(2 * furthest + 1)).saturating_sub(furthest);
        at = at.min(corners.len() as u64 - 1);
        corners[at as usize].spoil(&mut dice, 4)
    };
    let samples = (0..LENGTH).map(|_| next()).collect();
    Single { asked, way, low, high, hysteresis, start: 0, samples, lengths: vec![LENGTH] }
}

/// Three blocks, cut at every two places there are; one or two of them may be empty. Gives how
/// many events there were.
fn every_cut<T: Kind>(asked: Asked, way: Way) -> usize {
    let cuts = (0..=LENGTH).flat_map(|a| (a..=LENGTH).map(move |b| (a, b)));
    let mut total = 0;
    for seed in 0..30 {
        let case = short::<T>(asked, way, seed);
        let expected = case.events();
        total += expected.len();
        for (a, b) in cuts.clone() {
            let condition = case.setup(0).build().unwrap();
            let mut trigger = Trigger::new(condition, Holdoff::None).unwrap();
            let (mut desk, mut events) = (Desk::default(), Vec::new());
            for block in [0..a, a..b, b..LENGTH] {
                let block = desk.lay(&case.samples[block]);
                trigger.push(block, |event| events.push(found(event)));
            }
            assert_eq!(events, expected, "cut at {a} and {b}: {case:?}");
        }
    }
    total
}

fn every_condition<T: Kind>() {
    const SA: u64 = 65536;
    for way in [Way::Up, Way::Down, Way::Either] {
        for asked in [
            Asked::Interval(Width::Outside(4 * SA, 6 * SA)),
            Asked::Dropout(4),
            Asked::Dropout(1),
            Asked::Transition(Width::ShorterThan(3 * SA)),
            Asked::Pulse(Width::Outside(2 * SA, 4 * SA)),
            Asked::Runt(None),
            Asked::Runt(Some(Width::LongerThan(SA))),
        ] {
            let events = every_cut::<T>(asked, way);
            assert!(events > 3, "{events} events of {asked:?}, {way:?}");
        }
    }
    for inside in [true, false] {
        for when in [
            When::Goes,
            When::StaysLonger(0),
            When::StaysLonger(2),
            When::StaysShorter(2 * SA),
            When::StaysShorter(u64::MAX),
        ] {
            let events = every_cut::<T>(Asked::Window { inside, when }, Way::Up);
            assert!(events > 3, "{events} events, inside {inside}, {when:?}");
        }
    }
}

#[test]
fn every_cut_of_u8_samples() {
    every_condition::<u8>();
}

#[test]
fn every_cut_of_i16_samples() {
    every_condition::<i16>();
}

#[test]
fn every_cut_of_f32_samples() {
    every_condition::<f32>();
}
