//! Every record, sample for sample, and every count, for every way of handing a stream over.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillwave::{Acquisition, Counters, Record, RecordShape, Trigger};
use stillwave_tests::cases::{Case, edges, hold, pulses};
use stillwave_tests::dice::Dice;
use stillwave_tests::engine::{Desk, found, holdoff, mode};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, Hold, Holdoff, Kept, Pace, Recorder};
use stillwave_tests::plan::{Step, actions, lost, plan};

/// What happens between two samples.
#[derive(Clone, Debug)]
enum Act {
    Gap(u64),
    Run,
    Stop,
    Pace(Pace),
    Shape(usize, usize),
    Hold(Hold),
}

/// An acquisition of one to three channels, one of them the trigger's.
#[derive(Clone, Debug)]
struct Recording<T: Kind> {
    case: Case<T>,
    actions: Vec<(usize, Act)>,
    shape: (usize, usize),
    pace: Pace,
    channels: usize,
    source: usize,
    /// Memory for each channel.
    depth: usize,
}

impl<T: Kind> Recording<T> {
    /// The signal on the trigger's channel, anything on the others.
    fn streams(&self) -> Vec<Vec<T>> {
        let other = |channel| {
            let mut dice = Dice::new(channel as u64);
            self.case.samples.iter().map(|_| T::noise(&mut dice)).collect()
        };
        (0..self.channels)
            .map(|c| if c == self.source { self.case.samples.clone() } else { other(c) })
            .collect()
    }
}

const LONGEST: usize = 80;

fn shape() -> impl Strategy<Value = (usize, usize)> {
    let length = || prop_oneof![1 => Just(0), 1 => Just(1), 4 => 0..LONGEST / 2];
    (length(), length()).prop_filter("a record has samples", |(pre, post)| pre + post > 0)
}

fn pace() -> impl Strategy<Value = Pace> {
    let auto = prop_oneof![1 => Just(1), 4 => 1..300_u64].prop_map(Pace::Auto);
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

/// Every accepted event, every record, every count, and whether it still runs.
type Outcome = (Vec<Found>, Vec<Kept<u32>>, Counters, bool);

fn oracle<T: Kind>(recording: &Recording<T>) -> Outcome {
    let Recording { case, actions, shape: (pre, post), pace, .. } = recording;
    let streams = recording.streams();
    let (mut detector, mut holdoff) = (case.detector(), Holdoff::new(case.hold));
    let mut recorder = Recorder::new(*pre, *post, *pace);
    let (mut events, mut counters) = (Vec::new(), Counters::default());
    let mut position = case.start;
    (counters.gaps, counters.lost) = (1, case.start);
    recorder.gap(position);
    for step in plan(case.samples.len(), &[1], actions) {
        match step {
            Step::Block(one) => {
                for index in one {
                    let event = detector.sample(position, case.samples[index].exact());
                    let accepted = event.filter(|_| holdoff.accepts(position));
                    counters.events += u64::from(event.is_some());
                    counters.held_off += u64::from(event != accepted);
                    events.extend(accepted);
                    let frame: Vec<_> = streams.iter().map(|s| s[index].bits()).collect();
                    recorder.sample(position, &frame, accepted);
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                (counters.gaps, counters.lost) = (counters.gaps + 1, counters.lost + lost);
                position += lost;
                detector.gap();
                recorder.gap(position);
            }
            Step::Act(Act::Run) => recorder.run(position),
            Step::Act(Act::Stop) => recorder.stop(),
            Step::Act(Act::Pace(pace)) => recorder.set_pace(pace),
            Step::Act(Act::Shape(pre, post)) => recorder.set_shape(position, pre, post),
            Step::Act(Act::Hold(hold)) => holdoff = Holdoff::new(hold),
        }
    }
    let tally = recorder.tally;
    counters.records = tally.records;
    counters.forced = tally.forced;
    counters.unrecorded = tally.unrecorded;
    counters.abandoned = tally.abandoned;
    (events, recorder.kept, counters, recorder.running)
}

/// A record of the engine; its number, place and shape are as its samples say.
fn kept<T: Kind>(record: &Record<'_, T>, number: usize) -> Kept<u32> {
    assert_eq!(record.number, number as u64);
    assert_eq!(record.at.position, record.start + record.trigger_index() as u64);
    assert_eq!(
        record.at,
        record.event.map_or(stillwave::Instant::at(record.at.position), |e| e.at)
    );
    assert_eq!(record.samples().len(), record.channel(record.channels() - 1).len());
    assert!(record.channel(record.channels()).is_empty());
    let bits = |channel| record.channel(channel).iter().map(|x: &T| x.bits()).collect();
    let channels = (0..record.channels()).map(bits).collect();
    Kept { position: record.at.position, event: record.event.map(found), channels }
}

fn engine<T: Kind>(recording: &Recording<T>) -> Outcome {
    let Recording { case, actions, shape: (pre, post), pace, channels, source, depth } = recording;
    let streams = recording.streams();
    let trigger = Trigger::new(case.condition(*source as u8), holdoff(case.hold)).unwrap();
    let shape = RecordShape::new(*pre, *post).unwrap();
    let buffer = vec![T::MAX; depth * channels + channels - 1];
    let mut acquisition =
        Acquisition::with_channels(trigger, shape, mode(*pace), *channels, buffer).unwrap();
    let (mut events, mut records) = (Vec::new(), Vec::new());
    let mut desks = vec![Desk::default(); *channels];
    acquisition.gap(case.start);
    for step in plan(case.samples.len(), &case.lengths, actions) {
        match step {
            Step::Block(range) => {
                let blocks = desks.iter_mut().zip(&streams);
                let blocks: Vec<_> = blocks.map(|(d, s)| d.lay(&s[range.clone()])).collect();
                acquisition.push_channels(
                    &blocks,
                    |event| events.push(found(event)),
                    |record| records.push(kept(&record, records.len())),
                );
            }
            Step::Act(Act::Gap(lost)) => acquisition.gap(lost),
            Step::Act(Act::Run) => acquisition.run(),
            Step::Act(Act::Stop) => acquisition.stop(),
            Step::Act(Act::Pace(pace)) => acquisition.set_mode(mode(pace)).unwrap(),
            Step::Act(Act::Shape(pre, post)) => {
                acquisition.set_shape(RecordShape::new(pre, post).unwrap()).unwrap();
            }
            Step::Act(Act::Hold(hold)) => acquisition.set_holdoff(holdoff(hold)).unwrap(),
        }
    }
    (events, records, acquisition.counters(), acquisition.is_running())
}

fn agree<T: Kind>(recording: &Recording<T>) -> Result<(), TestCaseError> {
    let (events, records, counters, running) = engine(recording);
    let expected = oracle(recording);
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
        let counters = oracle(&strategy.new_tree(&mut runner).unwrap().current()).2;
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
