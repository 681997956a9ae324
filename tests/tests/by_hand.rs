//! The rules on signals short enough to be worked out on paper. The engine and the oracle must
//! both give what the paper says.

use stillwave::{
    Acquisition, Block, Comparator, Comparison, ConfigError, Counters, Event, EventKind, Instant,
    Level, Mode, Record, RecordShape, Recorder, Slope, Span, Trigger,
};
use stillwave_tests::cases::{Asked, Case};
use stillwave_tests::engine::{found, holdoff};
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, Hold, Holdoff, What, Width};

/// One sample, in 1/65536.
const SA: u64 = 65536;

fn case<T: Kind>(asked: Asked, level: T::Wide, hysteresis: T::Wide, samples: &[T]) -> Case<T> {
    let (samples, lengths) = (samples.to_vec(), vec![1]);
    Case { asked, hold: Hold::None, level, hysteresis, start: 0, samples, lengths }
}

/// Events of engine and oracle, which are the same.
fn events<T: Kind>(case: &Case<T>) -> Vec<Found> {
    let mut trigger = Trigger::new(case.condition(0), holdoff(case.hold)).unwrap();
    let mut events = Vec::new();
    trigger.push(&case.samples, |event| events.push(found(event)));

    let (mut detector, mut hold) = (case.detector(), Holdoff::new(case.hold));
    let samples = case.samples.iter().enumerate();
    let all = samples.filter_map(|(at, x)| detector.sample(at as u64, x.exact()));
    let oracle: Vec<_> = all.filter(|event| hold.accepts(event.position)).collect();
    assert_eq!(events, oracle);
    events
}

fn positions<T: Kind>(
    asked: Asked,
    level: T::Wide,
    hysteresis: T::Wide,
    samples: &[T],
) -> Vec<u64> {
    events(&case(asked, level, hysteresis, samples)).iter().map(|e| e.position).collect()
}

const RISING: Asked = Asked::Edge { rising: true };
const FALLING: Asked = Asked::Edge { rising: false };

#[test]
fn an_edge_is_armed_beyond_the_hysteresis_and_fires_at_the_level() {
    // Rising through 10 with 4 back: armed by 5, not by 6.
    assert_eq!(positions::<u8>(RISING, 10, 4, &[6, 10, 5, 9, 10, 6, 11, 5, 11]), [4, 8]);
    // Falling: armed by 15, not by 14.
    assert_eq!(positions::<u8>(FALLING, 10, 4, &[14, 10, 15, 11, 10, 14, 9, 15, 9]), [4, 8]);
    assert_eq!(positions::<i16>(Asked::Either, 0, 0, &[0, -1, 0, 1, 0, -1, 1]), [2, 4, 6]);
}

#[test]
fn a_stream_that_begins_beyond_the_level_does_not_fire() {
    assert_eq!(positions::<u16>(RISING, 100, 0, &[100, 200, 100]), []);
    assert_eq!(positions::<u16>(FALLING, 100, 0, &[100, 50, 100]), []);
}

#[test]
fn levels_at_and_beyond_the_ends() {
    let ends = [0, 255, 0, 255];
    assert_eq!(positions::<u8>(RISING, 255, 0, &ends), [1, 3]);
    assert_eq!(positions::<u8>(RISING, 255, 254, &ends), [1, 3]);
    assert_eq!(positions::<u8>(RISING, 255, 255, &ends), []);
    assert_eq!(positions::<u8>(RISING, 256, 0, &ends), []);
    assert_eq!(positions::<u8>(RISING, 1, 0, &ends), [1, 3]);
    assert_eq!(positions::<u8>(RISING, 0, 0, &ends), []);
    assert_eq!(positions::<u8>(FALLING, 0, 0, &ends), [2]);
    assert_eq!(positions::<u8>(FALLING, 0, 254, &ends), [2]);
    assert_eq!(positions::<u8>(FALLING, -1, 0, &ends), []);
    assert_eq!(positions::<i32>(RISING, i64::MAX, i64::MAX, &[i32::MIN, i32::MAX]), []);
    assert_eq!(positions::<f32>(RISING, f32::MAX, f32::MAX, &[-1.0, f32::MAX]), [1]);
}

#[test]
fn the_crossing_lies_on_the_straight_line() {
    let leads = |events: Vec<Found>| events.iter().map(|e| e.lead).collect::<Vec<_>>();
    // From 0 to 4 through 1: three quarters before; from 4 to 0 through 1: one quarter.
    let three_quarters = case::<u8>(Asked::Either, 1, 0, &[0, 4, 0]);
    assert_eq!(leads(events(&three_quarters)), [49152, 16384]);
    // One third is 21845.33 parts: rounded down.
    assert_eq!(leads(events(&case::<i8>(RISING, 1, 0, &[-1, 2]))), [21845]);
    // At the level itself nothing lies between.
    assert_eq!(leads(events(&case::<u16>(RISING, 7, 0, &[3, 7]))), [0]);
    // The widest step of 32 bits: 2^31 of 2^32 − 1 is 32768.0000076 parts.
    let widest = case::<i32>(RISING, -1, 0, &[i32::MIN, i32::MAX]);
    assert_eq!(leads(events(&widest)), [32768]);
    // Not finite before: the crossing is at the sample.
    assert_eq!(leads(events(&case::<f32>(RISING, 1.0, 0.0, &[0.0, f32::NAN, 3.0]))), [0]);
}

#[test]
fn a_pulse_is_as_wide_as_from_crossing_to_crossing() {
    let pulse = |positive, width| Asked::Pulse { positive, width };
    let any = Width::Within(0, u64::MAX);
    // Up through 100 at 1, down through 50 half way from 3 to 4.
    let samples = [0, 100, 100, 100, 0, 0];
    let found = events(&case::<u8>(pulse(true, any), 100, 50, &samples));
    let width = 2 * SA + SA / 2;
    assert_eq!(found, [Found { position: 4, lead: 32768, what: What::Positive(width) }]);
    // Each comparison, at its bound and one part beside it.
    let holds = |w| !positions::<u8>(pulse(true, w), 100, 50, &samples).is_empty();
    assert!(!holds(Width::ShorterThan(width)) && holds(Width::ShorterThan(width + 1)));
    assert!(!holds(Width::LongerThan(width)) && holds(Width::LongerThan(width - 1)));
    assert!(holds(Width::Within(width, width)) && !holds(Width::Within(width + 1, width + 1)));
    assert!(!holds(Width::Outside(width, width)) && holds(Width::Outside(width + 1, width + 1)));
    // The mirror.
    let mirror = samples.map(|x| 200 - x);
    let found = events(&case::<u8>(pulse(false, any), 100, 50, &mirror));
    assert_eq!(found, [Found { position: 4, lead: 32768, what: What::Negative(width) }]);
    // Under way when the stream begins: no pulse. Turning back within the hysteresis: one pulse.
    assert_eq!(positions::<u8>(pulse(true, any), 100, 50, &[200, 0, 200, 50, 200, 49]), [5]);
}

#[test]
fn holdoff_counts_from_the_last_accepted_event() {
    let mut edges = case::<u8>(RISING, 1, 0, &[0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1]);
    let mut accepted = |hold| {
        edges.hold = hold;
        events(&edges).iter().map(|e| e.position).collect::<Vec<_>>()
    };
    assert_eq!(accepted(Hold::Samples(2)), [1, 3, 5, 7, 9, 11]);
    assert_eq!(accepted(Hold::Samples(3)), [1, 5, 9]);
    assert_eq!(accepted(Hold::Every(3)), [5, 11]);
}

fn acquisition(
    pre: usize,
    post: usize,
    mode: Mode,
) -> Acquisition<impl stillwave::Condition<Sample = u8>, [u8; 8]> {
    let condition = case::<u8>(RISING, 100, 0, &[]).condition(0);
    let trigger = Trigger::new(condition, stillwave::Holdoff::None).unwrap();
    Acquisition::new(trigger, RecordShape::new(pre, post).unwrap(), mode, [0; 8]).unwrap()
}

/// Starts and samples of the records that a push finishes.
macro_rules! push {
    ($acquisition:expr, $samples:expr) => {{
        let mut records = Vec::new();
        $acquisition.push(&$samples, |r| records.push((r.start, r.samples().to_vec())));
        records
    }};
}

#[test]
fn a_record_needs_its_whole_pre_trigger() {
    let mut early = acquisition(2, 2, Mode::Normal);
    assert_eq!(push!(early, [0, 100, 0, 100, 7, 0]), [(1, vec![100, 0, 100, 7])]);
    assert_eq!(
        early.counters(),
        Counters { events: 2, unrecorded: 1, records: 1, ..Counters::default() }
    );
}

#[test]
fn records_stand_back_to_back_and_share_samples() {
    let mut busy = acquisition(1, 2, Mode::Normal);
    let square = [0, 100, 0, 100, 0, 100, 0];
    let records = [(0, vec![0, 100, 0]), (2, vec![0, 100, 0]), (4, vec![0, 100, 0])];
    assert_eq!(push!(busy, square), records);
    assert_eq!(busy.counters().unrecorded, 0);
}

#[test]
fn auto_forces_a_record_after_its_time_unless_an_event_comes_at_that_very_sample() {
    let mut quiet = acquisition(1, 2, Mode::Auto { after: 3 });
    // Forced at 3, then waiting from 5: forced again at 8.
    let records = [(2, vec![2, 3, 4]), (7, vec![7, 8, 9])];
    assert_eq!(push!(quiet, [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]), records);
    assert_eq!(quiet.counters().forced, 2);
    let mut just = acquisition(1, 2, Mode::Auto { after: 3 });
    assert_eq!(push!(just, [0, 1, 2, 100, 4]), [(2, vec![2, 100, 4])]);
    assert_eq!(just.counters().forced, 0);
}

#[test]
fn auto_asked_for_late_lets_an_event_at_the_next_sample_come_first() {
    let mut late = acquisition(1, 2, Mode::Normal);
    assert_eq!(push!(late, [0, 1, 2, 3, 4]), []);
    late.set_mode(Mode::Auto { after: 2 }).unwrap();
    assert_eq!(push!(late, [100, 6, 7]), [(4, vec![4, 100, 6])]);
    assert_eq!(late.counters().forced, 0);
}

#[test]
fn a_gap_abandons_the_record_and_disarms() {
    let mut lossy = acquisition(1, 3, Mode::Normal);
    assert_eq!(push!(lossy, [0, 100, 0]), []);
    lossy.gap(10);
    // The first rise may have been lost; the second is at 15.
    assert_eq!(push!(lossy, [100, 0, 100, 1, 2]), [(14, vec![0, 100, 1, 2])]);
    let counters = lossy.counters();
    assert_eq!((counters.abandoned, counters.gaps, counters.lost), (1, 1, 10));
}

#[test]
fn a_single_record_stops_until_run_again() {
    let mut single = acquisition(1, 1, Mode::Single);
    assert_eq!(push!(single, [0, 100, 0, 100, 0]), [(0, vec![0, 100])]);
    assert!(!single.is_running());
    single.run();
    assert_eq!(push!(single, [100, 0]), [(4, vec![0, 100])]);
    assert_eq!(single.counters().unrecorded, 0);
}

#[test]
fn a_longer_pre_trigger_holds_only_what_came_in_one_piece() {
    let mut changed = acquisition(1, 1, Mode::Normal);
    for quiet in [[1; 4], [2; 4], [3; 4]] {
        assert_eq!(push!(changed, quiet), []);
    }
    changed.set_shape(RecordShape::new(3, 1).unwrap()).unwrap();
    // One sample was kept: the first rise comes too early, the second finds its three.
    assert_eq!(push!(changed, [100, 0, 100]), [(11, vec![3, 100, 0, 100])]);
    assert_eq!(changed.counters().unrecorded, 1);
}

#[test]
fn what_was_found_ahead_in_a_block_left_early_is_forgotten() {
    let condition = || case::<u8>(Asked::Either, 2, 0, &[]).condition(0);
    let (samples, channels): ([u8; 5], _) = ([0, 9, 0, 9, 0], [&[1_u8, 9][..]]);
    let mut trigger = Trigger::new(condition(), stillwave::Holdoff::None).unwrap();
    let left_early = |trigger: &mut Trigger<_>| {
        let block = [&samples[..]];
        trigger.next(&Block::new(trigger.position(), &block)).map(|event| event.at.position)
    };
    assert_eq!(left_early(&mut trigger), Some(1));
    trigger.reset();
    assert_eq!(trigger.next(&Block::new(0, &channels)).map(|e| e.at.position), Some(1));
    assert_eq!(trigger.next(&Block::new(0, &channels)), None);
    assert_eq!(left_early(&mut trigger), Some(2));
    trigger.gap(10);
    assert_eq!(trigger.next(&Block::new(20, &channels)).map(|e| e.at.position), Some(21));
}

#[test]
fn a_stream_that_outlasts_its_positions_ends_quietly() {
    let mut edge = acquisition(1, 2, Mode::Auto { after: 2 });
    edge.gap(u64::MAX - 4);
    // Positions up to 2^64 − 2 can be counted: four samples, of which the last three are a record.
    let records = [(u64::MAX - 4, vec![0, 100, 0])];
    assert_eq!(push!(edge, [0, 100, 0, 0, 100, 0, 100, 0]), records);
    assert_eq!(push!(edge, [0, 100, 0, 100]), []);
    edge.gap(u64::MAX);
    assert_eq!(push!(edge, [0, 100, 0, 100]), []);
    assert_eq!(edge.counters().events, 1);
}

#[test]
fn a_rise_at_the_first_sample_of_a_block_knows_the_sample_before() {
    // The last sample of the first block is a crossing itself: the fall, and the rise after it.
    let condition = case::<u8>(RISING, 2, 1, &[]).condition(0);
    let mut trigger = Trigger::new(condition, stillwave::Holdoff::None).unwrap();
    let mut leads = Vec::new();
    for block in [[9, 0], [4, 0], [8, 1]] {
        trigger.push(&block, |event| leads.push((event.at.position, event.at.lead)));
    }
    assert_eq!(leads, [(2, 32768), (4, 49152)]);
}

#[test]
fn another_condition_or_holdoff_counts_from_the_next_sample() {
    let edge = |rising| case::<u8>(Asked::Edge { rising }, 2, 0, &[]).condition(0);
    let mut trigger = Trigger::new(edge(true), stillwave::Holdoff::Samples(100)).unwrap();
    let mut accepted = Vec::new();
    trigger.push(&[0, 9, 0, 9], |event| accepted.push(event.at.position));
    trigger.set_condition(edge(false));
    // Not armed by the 9 before it: the fall at 4 may be no fall at all.
    trigger.push(&[0, 9, 0, 9, 0], |event| accepted.push(event.at.position));
    assert_eq!((accepted.as_slice(), trigger.events(), trigger.held_off()), (&[1][..], 4, 3));
    trigger.set_holdoff(stillwave::Holdoff::Samples(3)).unwrap();
    trigger.push(&[9, 0, 9, 0, 9, 0], |event| accepted.push(event.at.position));
    assert_eq!(accepted, [1, 10, 14]);
}

#[test]
fn a_recorder_is_driven_by_events_from_elsewhere() {
    let shape = RecordShape::new(1, 2).unwrap();
    let mut recorder = Recorder::<u8, _>::new(shape, Mode::Normal, 2, [0; 6]).unwrap();
    let event = |position| Event {
        at: Instant { position, lead: 9 },
        kind: EventKind::Edge { slope: Slope::Rising },
    };
    let mut records = Vec::new();
    let mut keep = |r: Record<'_, u8>| {
        records.push((r.start, r.at.lead, r.channel(0).to_vec(), r.channel(1).to_vec()));
    };
    let channels: [&[u8]; 2] = [&[0, 1, 2, 3], &[10, 11, 12, 13]];
    let first = Block::new(0, &channels);
    recorder.event(&first, event(1), &mut keep);
    recorder.finish(&first, &mut keep);
    // The next block begins 6 samples later: a gap, so the event at 11 is the first that may.
    let second = Block::new(10, &channels);
    recorder.event(&second, event(10), &mut keep);
    recorder.event(&second, event(11), &mut keep);
    recorder.finish(&second, &mut keep);
    let samples = (vec![0, 1, 2], vec![10, 11, 12]);
    assert_eq!(
        records,
        [(0, 9, samples.0.clone(), samples.1.clone()), (10, 9, samples.0, samples.1)]
    );
    assert_eq!((recorder.records(), recorder.unrecorded(), recorder.abandoned()), (2, 1, 0));
}

#[test]
fn crossings_alternate_between_level_and_hysteresis() {
    let level = Level::<i16>::new(0, 4).unwrap();
    let samples: [i16; 9] = [1, -5, -3, 1, -3, -4, -6, 2, -6];
    let channels = [&samples[..]];
    let block = Block::new(0, &channels);
    let mut comparator = Comparator::new(Slope::Rising, level).unwrap();
    let found: Vec<_> = std::iter::from_fn(|| comparator.next(&block))
        .map(|crossing| (crossing.slope, crossing.at.position, crossing.at.lead))
        .collect();
    // The fall at 1 through −4 is the first: which side a stream begins on is no crossing.
    assert_eq!(
        found,
        [
            (Slope::Falling, 1, 65536 / 6),
            (Slope::Rising, 3, 65536 / 4),
            (Slope::Falling, 6, 65536),
            (Slope::Rising, 7, 65536 / 4),
            (Slope::Falling, 8, 65536 / 4),
        ]
    );
}

#[test]
fn what_makes_no_sense_is_refused_by_name() {
    let refused = |error: ConfigError| error.parameter;
    assert_eq!(Level::<u8>::new(0, -1).map_err(refused), Err("hysteresis"));
    assert_eq!(Level::<f32>::new(f32::NAN, 0.0).map_err(refused), Err("level"));
    assert_eq!(Level::<f32>::new(0.0, f32::INFINITY).map_err(refused), Err("hysteresis"));
    let (short, long) = (Span::samples(1), Span::samples(2));
    assert_eq!(Comparison::within(long, short).map_err(refused), Err("upper bound"));
    assert_eq!(Comparison::outside(long, short).map_err(refused), Err("upper bound"));
    assert_eq!(stillwave::Holdoff::Every(0).validated().map_err(refused), Err("every"));
    assert_eq!(RecordShape::new(0, 0).map_err(refused), Err("record length"));
    assert_eq!(RecordShape::new(usize::MAX, 1).map_err(refused), Err("record length"));
    assert_eq!(Mode::Auto { after: 0 }.validated().map_err(refused), Err("auto time"));
    let shape = RecordShape::new(2, 2).unwrap();
    let recorder = |channels| Recorder::<u8, _>::new(shape, Mode::Normal, channels, [0; 7]);
    assert_eq!(recorder(0).err().map(refused), Some("channels"));
    assert_eq!(recorder(2).err().map(refused), Some("buffer"));
    let mut fits = recorder(1).unwrap();
    assert_eq!(
        fits.set_shape(RecordShape::new(4, 4).unwrap()).map_err(refused),
        Err("record length")
    );
}
