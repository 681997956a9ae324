//! Conditions on several channels, on signals short enough to be worked out on paper: above all
//! what happens where two things meet.

use stillwave::{
    Block, Comparison, Condition, Count, Delay, Edge, EitherEdge, Event, EventKind, Input, Inputs,
    Instant, Level, LineState, Pattern, PatternEvent, PatternLine, PatternWhen, Qualified, Sample,
    Sequence, SetupHold, Side, Slope, Span, Stay, Wait,
};
use stillwave_tests::dice::Dice;

const ANY: Comparison = Comparison::LongerThan(Span::ZERO);

/// Through 100 without hysteresis.
fn level(channel: u8) -> Level<u8> {
    Level::new(100, 0).unwrap().on_channel(channel)
}

fn rise(channel: u8) -> Edge<u8> {
    Edge::new(Slope::Rising, level(channel)).unwrap()
}

fn fall(channel: u8) -> Edge<u8> {
    Edge::new(Slope::Falling, level(channel)).unwrap()
}

fn events<C: Condition>(condition: &mut C, channels: &[&[C::Sample]]) -> Vec<Event> {
    let block = Block::new(0, channels);
    std::iter::from_fn(|| condition.next(&block)).collect()
}

fn positions<C: Condition>(mut condition: C, channels: &[&[C::Sample]]) -> Vec<u64> {
    events(&mut condition, channels).iter().map(|event| event.at.position).collect()
}

/// 0 and 200 by characters: `_` low, `#` high.
fn line(picture: &str) -> Vec<u8> {
    picture.chars().map(|c| if c == '#' { 200 } else { 0 }).collect()
}

#[test]
fn a_delay_runs_from_the_latest_a_to_the_next_b() {
    let a = line("_#_#______#___");
    let b = line("_____#_#___#_#");
    let mut delay = Delay::new(rise(0), rise(1), ANY).unwrap();
    let found = events(&mut delay, &[&a, &b]);
    let times: Vec<_> = found.iter().map(|event| (event.at.position, event.kind)).collect();
    let time = |samples| EventKind::Delay { time: Span::samples(samples) };
    assert_eq!(times, [(5, time(2)), (11, time(1))]);
}

#[test]
fn a_delay_of_an_edge_from_itself_is_its_period() {
    let a = line("_#__#_#___#");
    let two_or_less = Comparison::within(Span::ZERO, Span::samples(3)).unwrap();
    assert_eq!(positions(Delay::new(rise(0), rise(0), two_or_less).unwrap(), &[&a, &a]), [4, 6]);
}

#[test]
fn at_one_sample_a_delay_goes_by_the_instants() {
    // Through 100 from 0: to 250 it is early, to 101 late.
    let (early, late) = ([0, 250, 250], [0, 101, 101]);
    let any = || Comparison::within(Span::ZERO, Span::MAX).unwrap();
    assert_eq!(positions(Delay::new(rise(0), rise(1), any()).unwrap(), &[&early, &late]), [1]);
    assert_eq!(positions(Delay::new(rise(0), rise(1), any()).unwrap(), &[&late, &early]), []);
    assert_eq!(positions(Delay::new(rise(0), rise(1), any()).unwrap(), &[&late, &late]), []);
}

#[test]
fn a_count_since_the_start_ends_once() {
    let a = line("_#_#_#_#_#_#");
    assert_eq!(positions(Count::since_start(rise(0), 2).unwrap(), &[&a]), [3]);
    assert!(Count::since_start(rise(0), 0).is_err());
}

#[test]
fn a_count_begins_anew_after_a_gap() {
    let mut count = Count::since_start(rise(0), 2).unwrap();
    let a = line("_#_#");
    let mut found = vec![];
    for start in [0, 4, 8] {
        let channels = [&a[..]];
        let block = Block::new(start, &channels);
        found.extend(std::iter::from_fn(|| count.next(&block)).map(|event| event.at.position));
        if start == 4 {
            count.gap();
        }
    }
    assert_eq!(found, [3, 11]);
}

#[test]
fn a_burst_under_way_at_the_start_does_not_count() {
    // 1 and 3 come too soon after the start; 7 comes 4 after 3.
    let a = line("_#_#___#_#_#");
    assert_eq!(positions(Count::since_quiet(rise(0), 2, 4).unwrap(), &[&a]), [9]);
    assert_eq!(positions(Count::since_quiet(rise(0), 2, 5).unwrap(), &[&a]), []);
    // With no quiet time asked for, every event begins a count.
    assert_eq!(positions(Count::since_quiet(rise(0), 1, 0).unwrap(), &[&a]), [1, 3, 7, 9, 11]);
    assert_eq!(positions(Count::since_quiet(rise(0), 2, 0).unwrap(), &[&a]), []);
}

#[test]
fn a_count_since_another_event_begins_after_its_sample() {
    let a = line("_#_#_#_#_#");
    let b = line("___#___#__");
    // 1 is before any beginning; 3 belongs to none, 5 is the first, 7 the second.
    assert_eq!(positions(Count::since(rise(0), 2, rise(1)).unwrap(), &[&a, &b]), [7]);
    assert_eq!(positions(Count::since(rise(0), 1, rise(1)).unwrap(), &[&a, &b]), [5, 9]);
}

fn sequence(wait: Wait) -> Sequence<Edge<u8>, Edge<u8>> {
    Sequence::new(rise(0), rise(1), wait).unwrap()
}

#[test]
fn in_a_sequence_b_comes_after_a() {
    // At the same sample it does not count, even where its instant is later.
    let (a, b) = ([0, 250, 250, 250], [0, 101, 0, 200]);
    assert_eq!(positions(sequence(Wait::default()), &[&a, &b]), [3]);
}

#[test]
fn in_a_sequence_the_first_a_counts_and_the_end_begins_nothing() {
    let a = line("_#_#_#___#");
    let b = line("_____#_#__");
    assert_eq!(positions(sequence(Wait::default()), &[&a, &b]), [5]);
    let mut found = sequence(Wait::default());
    let time = EventKind::Sequence { time: Span::samples(4) };
    assert_eq!(events(&mut found, &[&a, &b])[0].kind, time);
}

#[test]
fn a_sequence_waits_from_the_delay_up_to_the_timeout() {
    let a = line("_#___________");
    let b = line("__#_#_#_#____");
    let wait = |delay, timeout| Wait { delay, timeout, ..Wait::default() };
    assert_eq!(positions(sequence(wait(3, None)), &[&a, &b]), [4]);
    assert_eq!(positions(sequence(wait(4, None)), &[&a, &b]), [6]);
    assert_eq!(positions(sequence(wait(4, Some(6))), &[&a, &b]), [6]);
    assert_eq!(positions(sequence(wait(4, Some(5))), &[&a, &b]), []);
    let second = Wait { events: 2, delay: 2, timeout: None };
    assert_eq!(positions(sequence(second), &[&a, &b]), [6]);
    for (delay, timeout) in [(0, 0), (0, 1), (5, 5)] {
        assert!(wait(delay, Some(timeout)).validated().is_err());
    }
}

#[test]
fn at_its_timeout_a_sequence_can_begin_again() {
    let a = line("_#__#_______");
    let b = line("_____#______");
    let wait = |timeout| Wait { timeout: Some(timeout), ..Wait::default() };
    let time = |samples| EventKind::Sequence { time: Span::samples(samples) };
    let first = |timeout| events(&mut sequence(wait(timeout)), &[&a, &b])[0].kind;
    assert_eq!(first(3), time(1));
    assert_eq!(first(5), time(4));
}

#[test]
fn a_reset_takes_a_sequence_back_to_a() {
    let a = line("_#_______#_");
    let with = |b: &str, c: &str| {
        let wait = Wait::default();
        let condition = Sequence::with_reset(rise(0), rise(1), rise(2), wait).unwrap();
        positions(condition, &[&a, &line(b), &line(c)])
    };
    assert_eq!(with("____#_____#", "__#________"), [10]);
    // At the same sample as B, or as A, it is of no account.
    assert_eq!(with("____#______", "____#______"), [4]);
    assert_eq!(with("____#______", "_#_________"), [4]);
}

fn pattern<const N: usize>(states: [LineState; N], when: PatternWhen) -> Pattern<u8, N> {
    let mut channels = 0..;
    let lines = states.map(|state| PatternLine { state, level: level(channels.next().unwrap()) });
    Pattern::new(lines, when).unwrap()
}

#[test]
fn a_pattern_is_entered_and_left_at_the_sample() {
    use LineState::{High, Ignored, Low};
    let a = line("__####__##__");
    let b = line("##_________#");
    let states = [High, Low, Ignored];
    assert_eq!(positions(pattern(states, PatternWhen::Enters), &[&a, &b]), [2, 8]);
    assert_eq!(positions(pattern(states, PatternWhen::Leaves), &[&a, &b]), [6, 10]);
    let shorter = |samples| PatternWhen::Stays(Stay::ShorterThan(Span::samples(samples)));
    assert_eq!(positions(pattern(states, shorter(3)), &[&a, &b]), [10]);
    assert_eq!(positions(pattern(states, shorter(2)), &[&a, &b]), []);
    let longer = |samples| PatternWhen::Stays(Stay::LongerThan(samples));
    assert_eq!(positions(pattern(states, longer(0)), &[&a, &b]), [2, 8]);
    assert_eq!(positions(pattern(states, longer(1)), &[&a, &b]), [3, 9]);
    assert_eq!(positions(pattern(states, longer(3)), &[&a, &b]), [5]);
    assert_eq!(positions(pattern(states, longer(4)), &[&a, &b]), []);
}

#[test]
fn a_pattern_true_from_the_start_can_only_be_left() {
    use LineState::{High, Low};
    let (a, b) = (line("####"), line("___#"));
    assert_eq!(positions(pattern([High, Low], PatternWhen::Enters), &[&a, &b]), []);
    assert_eq!(positions(pattern([High, Low], PatternWhen::Leaves), &[&a, &b]), [3]);
    let longer = PatternWhen::Stays(Stay::LongerThan(1));
    assert_eq!(positions(pattern([High, Low], longer), &[&a, &b]), []);
    let shorter = PatternWhen::Stays(Stay::ShorterThan(Span::MAX));
    assert_eq!(positions(pattern([High, Low], shorter), &[&a, &b]), []);
}

#[test]
fn a_channel_within_its_hysteresis_is_on_no_side_yet() {
    // High from 100 on, low below 80.
    let wide = Level::new(100, 20).unwrap();
    let lines = [
        PatternLine { state: LineState::High, level: level(1) },
        PatternLine { state: LineState::Low, level: wide },
    ];
    let pattern = Pattern::new(lines, PatternWhen::Enters).unwrap();
    // Channel 1 is high at 1, but channel 0 is not known before 3; it comes right at 5.
    assert_eq!(
        positions(pattern, &[&[90, 80, 99, 100, 80, 79], &[0, 200, 200, 200, 200, 200]]),
        [5]
    );
    let gate = |side| Qualified::new(rise(1), wide, side).unwrap();
    let channels: [&[u8]; 2] = [&[90, 90, 79, 90, 90], &[0, 200, 0, 200, 0]];
    assert_eq!(positions(gate(Side::Low), &channels), [3]);
    assert_eq!(positions(gate(Side::High), &channels), []);
}

#[test]
fn a_level_that_all_samples_are_beyond_leaves_one_side() {
    let always = Level::new(0, 0).unwrap().on_channel(1);
    let never = Level::new(256, 300).unwrap().on_channel(1);
    let a = line("_#_#");
    let gate = |level, side| positions(Qualified::new(rise(0), level, side).unwrap(), &[&a, &a]);
    assert_eq!(gate(always, Side::High), [1, 3]);
    assert_eq!(gate(always, Side::Low), []);
    assert_eq!(gate(never, Side::High), []);
    assert_eq!(gate(never, Side::Low), []);
    let above = Level::new(256, 0).unwrap().on_channel(1);
    assert_eq!(gate(above, Side::Low), [1, 3]);
}

#[test]
fn a_pattern_with_changes_is_true_at_single_samples() {
    use LineState::{Either, Falling, High, Rising};
    let a = line("_#_#__#");
    let b = line("__#_##_");
    assert_eq!(positions(pattern([Either], PatternWhen::Enters), &[&a]), [1, 2, 3, 4, 6]);
    assert_eq!(positions(pattern([Rising, High], PatternWhen::Enters), &[&a, &b]), []);
    assert_eq!(positions(pattern([Falling, High], PatternWhen::Enters), &[&a, &b]), [2, 4]);
    assert_eq!(positions(pattern([Rising, Falling], PatternWhen::Enters), &[&a, &b]), [3, 6]);
    let line = PatternLine { state: Rising, level: level(0) };
    assert!(Pattern::new([line], PatternWhen::Leaves).is_err());
    assert!(Pattern::<u8, 2>::new(Default::default(), PatternWhen::Enters).is_err());
}

#[test]
fn a_lasting_pattern_is_told_as_soon_as_its_sample_is_there() {
    let longer = PatternWhen::Stays(Stay::LongerThan(3));
    let mut pattern = pattern([LineState::High], longer);
    let mut push = |start, samples: &[u8]| {
        let channels = [samples];
        let block = Block::new(start, &channels);
        pattern.next(&block)
    };
    assert_eq!(push(0, &[0, 200, 200]), None);
    assert_eq!(push(3, &[200]), None);
    let event = push(4, &[200]).unwrap();
    assert_eq!(event.at, Instant::at(4));
    // From half way between samples 0 and 1.
    let time = Span::from_parts(3 * 65536 + 32768);
    assert_eq!(event.kind, EventKind::Pattern { what: PatternEvent::Stayed { time } });
    assert_eq!(push(5, &[200]), None);
}

#[test]
fn data_at_the_instant_of_the_clock_comes_after_it() {
    let a = line("__#_____#__");
    let b = line("__#___#____");
    let check = |setup, hold| {
        let data = EitherEdge::new(level(1)).unwrap();
        let (setup, hold) = (Span::samples(setup), Span::samples(hold));
        let kinds = events(&mut SetupHold::new(rise(0), data, setup, hold), &[&a, &b]);
        kinds.iter().map(|event| (event.at.position, event.kind)).collect::<Vec<_>>()
    };
    let setup = EventKind::Setup { time: Span::samples(1) };
    assert_eq!(check(9, 0), [(8, setup)]);
    assert_eq!(check(1, 0), []);
    assert_eq!(check(0, 1), [(2, EventKind::Hold { time: Span::ZERO })]);
    assert_eq!(check(0, 0), []);
}

#[test]
fn a_gate_counts_at_the_event_s_own_sample() {
    let a = line("_#_#_#_#");
    let b = line("___####_");
    assert_eq!(
        positions(Qualified::new(rise(0), level(1), Side::High).unwrap(), &[&a, &b]),
        [3, 5]
    );
    assert_eq!(positions(Qualified::new(rise(0), level(1), Side::Low).unwrap(), &[&a, &b]), [1, 7]);
}

#[test]
fn conditions_can_be_put_together() {
    // While channel 2 is high: a rise of channel 0, and then the second fall of channel 1.
    let wait = Wait { events: 2, ..Wait::default() };
    let inner = Sequence::new(rise(0), fall(1), wait).unwrap();
    let counted = Count::since_start(inner, 2).unwrap();
    let a = line("_#______#______");
    let b = line("##_#_##__#_#_#_");
    let c = line("_________######");
    let condition = Qualified::new(counted, level(2), Side::High).unwrap();
    assert_eq!(positions(condition, &[&a, &b, &c]), [12]);
}

/// Words of which a condition sees single bits give what the bits by themselves give, however the
/// stream is cut.
fn bits<T: Sample + From<u8>>() {
    let mut dice = Dice::new(7);
    let words: Vec<u8> = (0..1000).map(|_| (dice.bits() & dice.bits()) as u8).collect();
    let channel: Vec<T> = words.iter().map(|&word| T::from(word)).collect();
    let line = |bit: u8| -> Vec<T> {
        words.iter().map(|w| T::from(if w >> bit & 1 == 1 { 100 } else { 0 })).collect()
    };
    let (first, second) = (line(1), line(6));
    let level = |level| Level::<T>::new(T::wide_from_f64(level).unwrap(), T::ZERO).unwrap();
    let condition = |bit: Level<T>| {
        let edge = Edge::new(Slope::Rising, bit.on_channel(1)).unwrap();
        let later = EitherEdge::new(bit.on_channel(2)).unwrap();
        let then = Sequence::new(edge, later, Wait { delay: 3, ..Wait::default() }).unwrap();
        Qualified::new(then, level(100.0), Side::Low).unwrap()
    };
    let expected = events(&mut condition(level(50.0)), &[&channel, &first, &second]);
    assert!(expected.len() > 20);

    let bit = |bit| Input::Bit { channel: 1, bit };
    for length in [1, 7, 64, 65, 1000] {
        let seen = [Input::Channel(1), bit(1), bit(6)];
        let mut inputs = Inputs::new(condition(Level::of_bit()), seen).unwrap();
        let mut found = vec![];
        for start in (0..1000).step_by(length) {
            let block = &channel[start..(start + length).min(1000)];
            let channels = [block, block];
            let block = Block::new(start as u64, &channels);
            found.extend(std::iter::from_fn(|| inputs.next(&block)));
        }
        assert_eq!(found, expected, "in blocks of {length}");
    }
}

#[test]
fn single_bits_of_words() {
    bits::<u8>();
    bits::<u16>();
    bits::<i16>();
    bits::<u32>();
    bits::<f32>();
}

#[test]
fn bits_at_the_ends_of_words() {
    let seen = |word: i8, bit| {
        let edge = Edge::new(Slope::Rising, Level::of_bit()).unwrap();
        let mut inputs = Inputs::new(edge, [Input::Bit { channel: 0, bit }]).unwrap();
        events(&mut inputs, &[&[0, word]]).len()
    };
    assert_eq!([seen(-128, 7), seen(127, 7), seen(-1, 0), seen(-2, 0)], [1, 0, 1, 0]);
    let input = |bit| [Input::Bit { channel: 0, bit }];
    assert!(Inputs::new(rise(0), input(7)).is_ok());
    assert!(Inputs::new(rise(0), input(8)).is_err());
    let edge = Edge::new(Slope::Rising, Level::<f32>::new(1.0, 0.0).unwrap()).unwrap();
    assert!(Inputs::new(edge.clone(), input(23)).is_ok());
    assert!(Inputs::new(edge, input(24)).is_err());
}
