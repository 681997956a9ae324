//! Every record, sample for sample, and every count, for every way of handing a stream over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillwave::{
    Block, Counters, Event, EventKind, Instant, Mode, Record, RecordShape, Recorder, Slope,
};
use stillwave_tests::cases::{edges, hold, pulses};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::Pace;
use stillwave_tests::plan::{actions, lost};
use stillwave_tests::recording::{Act, Recording, by_engine, by_oracle};

const LONGEST: usize = 80;

fn shape() -> impl Strategy<Value = (usize, usize)> {
    let length = || prop_oneof![1 => Just(0), 1 => Just(1), 4 => 0..LONGEST / 2];
    (length(), length()).prop_filter("a record has samples", |(pre, post)| pre + post > 0)
}

fn pace() -> impl Strategy<Value = Pace> {
    let auto = prop_oneof![1 => Just(1), 4 => 1..300_u64, 1 => Just(u64::MAX)].prop_map(Pace::Auto);
    prop_oneof![4 => Just(Pace::Normal), 2 => auto, 1 => Just(Pace::Single)]
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        2 => lost().prop_map(Act::Gap),
        3 => Just(Act::Run),
        1 => Just(Act::Stop),
        1 => pace().prop_map(Act::Pace),
        1 => shape().prop_map(|(pre, post)| Act::Shape(pre, post)),
        1 => hold().prop_map(Act::Hold),
        1 => Just(Act::Anew),
    ]
}

fn recordings<T: Kind>() -> impl Strategy<Value = Recording<T>> {
    let actions = prop_oneof![actions(act(), 12, 2000), actions(act(), 12, 200)];
    let case = prop_oneof![edges(5, 300), pulses(5, 300)];
    (case, actions, shape(), pace(), 1..=3_usize, 0..3_usize, 0..50_usize).prop_map(
        |(case, actions, shape, pace, channels, source, spare)| Recording {
            case,
            actions,
            shape,
            pace,
            channels,
            source: source % channels,
            depth: LONGEST + spare,
        },
    )
}

fn agree<T: Kind>(recording: &Recording<T>) -> Result<(), TestCaseError> {
    let (events, records, counters, running) = by_engine(recording);
    let expected = by_oracle(recording);
    prop_assert_eq!(events, expected.0);
    for (number, (record, kept)) in records.iter().zip(&expected.1).enumerate() {
        prop_assert_eq!(record, kept, "record {}", number);
    }
    prop_assert_eq!((counters, running), (expected.2, expected.3));
    prop_assert_eq!(records.len(), expected.1.len());
    Ok(())
}

for_every_type!(records_hold_what_was_there: agree over recordings, 1500);

#[test]
fn signals_reach_every_count() {
    let mut runner = TestRunner::deterministic();
    let strategy = recordings::<i16>();
    let mut total = Counters::default();
    for _ in 0..200 {
        let counters = by_oracle(&strategy.new_tree(&mut runner).unwrap().current()).2;
        total.events += counters.events;
        total.held_off += counters.held_off;
        total.unrecorded += counters.unrecorded;
        total.records += counters.records;
        total.forced += counters.forced;
        total.abandoned += counters.abandoned;
        total.gaps += counters.gaps;
    }
    assert!(total.events > 3000, "{total:?}");
    assert!(total.held_off > 1000, "{total:?}");
    assert!(total.unrecorded > 200, "{total:?}");
    assert!(total.records > 1000, "{total:?}");
    assert!(total.forced > 200, "{total:?}");
    assert!(total.abandoned > 20, "{total:?}");
    assert!(total.gaps > 200, "{total:?}");
}

fn recorder(channels: usize, buffer: Vec<u8>, mode: Mode) -> Recorder<u8, Vec<u8>> {
    Recorder::new(RecordShape::new(1, 2).unwrap(), mode, channels, buffer).unwrap()
}

#[test]
fn a_channel_that_does_not_come_is_a_gap() {
    let mut recorder = recorder(2, vec![77; 6], Mode::Auto { after: 1 });
    let (up, down) = ([1, 2, 3, 4, 5], [9, 8, 7, 6, 5]);
    let mut records = vec![];
    let mut position = 0;
    for channels in [&[&up[..]][..], &[&up, &down], &[&up], &[&up[..2], &down[..2]]] {
        let block = Block::new(position, channels);
        recorder.finish(&block, &mut |record| {
            records.push((record.start, record.channel(0).to_vec(), record.channel(1).to_vec()));
        });
        position = block.end();
    }
    assert_eq!(records, [(5, vec![1, 2, 3], vec![9, 8, 7])]);
    assert_eq!(recorder.abandoned(), 1);
}

#[test]
fn an_event_from_elsewhere_makes_no_record() {
    let mut recorder = recorder(1, vec![0; 3], Mode::Normal);
    let mut records = vec![];
    for (start, at) in [(0, 3), (5, 4), (10, 17), (15, 16)] {
        let samples: [u8; 5] = core::array::from_fn(|i| start as u8 + i as u8);
        let channels = [&samples[..]];
        let block = Block::new(start, &channels);
        let event = Event { at: Instant::at(at), kind: EventKind::Edge { slope: Slope::Rising } };
        let keep = &mut |record: Record<'_, u8>| {
            records.push((record.at.position, record.samples().to_vec()));
        };
        recorder.event(&block, event, keep);
        recorder.finish(&block, keep);
    }
    // Of the block before, and of the one to come.
    assert_eq!(recorder.unrecorded(), 2);
    assert_eq!(records, [(3, vec![2, 3, 4]), (16, vec![15, 16, 17])]);
}
