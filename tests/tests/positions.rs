//! Positions and times at the ends of what numbers hold: nothing wraps, and nothing is rounded
//! before it must be.

use proptest::prelude::*;
use stillwave::near::Swings;
use stillwave::{
    Acquisition, Block, Comparison, Condition, Edge, EitherEdge, EventKind, Holdoff, Instant,
    Level, Mode, PARTS_PER_SAMPLE, Polarity, Pulse, RecordShape, Slope, Span, Trigger,
    whole_samples,
};

/// The last positions before 32 bits, a double, a signed number and all bits are full.
const ENDS: [u64; 5] = [1 << 32, 1 << 37, 1 << 53, 1 << 63, u64::MAX];

fn level() -> Level<u8> {
    Level::new(128, 8).unwrap()
}

/// A square wave from 0 to 255, four samples a half.
fn square(len: usize) -> Vec<u8> {
    (0..len).map(|n| if n / 4 % 2 == 0 { 0 } else { 255 }).collect()
}

#[test]
fn positions_stop_at_the_last_that_can_be_counted() {
    for before in 0..40 {
        let mut trigger = Trigger::new(EitherEdge::new(level()).unwrap(), Holdoff::None).unwrap();
        trigger.gap(u64::MAX - before);
        let mut found = vec![];
        for block in square(200).chunks(7) {
            trigger.push(block, |event| found.push(event.at.position));
        }
        assert_eq!(trigger.position(), u64::MAX);
        // Every fourth sample from the fifth on, as far as they have positions.
        let expected: Vec<u64> = (4..before).step_by(4).map(|n| u64::MAX - before + n).collect();
        assert_eq!(found, expected, "{before} samples before the end");
    }
}

#[test]
fn records_end_before_positions_do() {
    for before in 0..60 {
        let trigger = Trigger::new(EitherEdge::new(level()).unwrap(), Holdoff::None).unwrap();
        let shape = RecordShape::new(2, 6).unwrap();
        let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; 9]).unwrap();
        acquisition.gap(u64::MAX - before);
        let samples = square(200);
        let mut records = 0;
        for block in samples.chunks(5) {
            acquisition.push(block, |record| {
                let from = (record.start - (u64::MAX - before)) as usize;
                assert_eq!(record.samples(), &samples[from..from + 8]);
                records += 1;
            });
        }
        // From 4 − 2 on, one in eight samples: six are filled, and two more edges pass meanwhile.
        let expected = (before + 2).saturating_sub(4) / 8;
        assert_eq!(records, expected, "{before} samples before the end");
    }
}

/// The longest holdoff accepts one event, wherever it is; one less than that to the last position.
#[test]
fn the_longest_holdoff_lets_one_event_pass() {
    for end in ENDS {
        for holdoff in [u64::MAX, u64::MAX - 1, 1 << 63] {
            let holdoff = Holdoff::Samples(holdoff);
            let edge = Edge::new(Slope::Rising, level()).unwrap();
            let mut trigger = Trigger::new(edge, holdoff).unwrap();
            trigger.gap(end - 50);
            let mut found = vec![];
            trigger.push(&square(100), |event| found.push(event.at.position));
            assert_eq!(found, [end - 50 + 4], "{end}");
            assert_eq!(trigger.events() - trigger.held_off(), 1);
        }
    }
}

/// A pulse that begins and ends in blocks so far apart; the samples between would change nothing.
fn pulse_kind(asked: Comparison, begin: u64, length: u64) -> Option<EventKind> {
    let mut pulse = Pulse::new(Polarity::Positive, level(), asked).unwrap();
    let (up, down): ([&[u8]; 1], [&[u8]; 1]) = ([&[0, 255]], [&[255, 0]]);
    assert_eq!(pulse.next(&Block::new(begin, &up)), None);
    pulse.next(&Block::new(begin + length, &down)).map(|event| event.kind)
}

/// A width is exact to 1/65536 of a sample up to 2^48 samples; a longer pulse is as wide as can be
/// said.
#[test]
fn the_longest_widths() {
    let lengths = [1 << 20, (1 << 48) - 9, (1 << 48) - 1, 1 << 48, 1 << 60];
    for (length, end) in lengths.iter().flat_map(|&length| ENDS.map(|end| (length, end))) {
        let Some(begin) = end.checked_sub(length + 20) else { continue };
        // Up through 128, back through 120, each within a sample of 255 counts.
        let (up, down) = (127 * 65536 / 255, 120 * 65536 / 255);
        let exact = u64::try_from(i128::from(length) * 65536 + up - down).unwrap_or(u64::MAX);
        let width = Span::from_parts(exact);
        let is = |asked| pulse_kind(asked, begin, length).is_some();
        let found = pulse_kind(Comparison::Within(width, width), begin, length);
        assert_eq!(found, Some(EventKind::Pulse { polarity: Polarity::Positive, width }));
        assert!(is(Comparison::LongerThan(Span::from_parts(exact - 1))));
        assert!(!is(Comparison::LongerThan(width)) && !is(Comparison::ShorterThan(width)));
        assert!(is(Comparison::Within(Span::ZERO, Span::MAX)));
        assert!(!is(Comparison::Outside(Span::ZERO, Span::MAX)));
    }
}

/// In 1/65536 of a sample.
fn parts(at: Instant) -> i128 {
    i128::from(at.position) * i128::from(PARTS_PER_SAMPLE) - i128::from(at.lead)
}

fn instants() -> impl Strategy<Value = Instant> {
    let end = prop::sample::select(&ENDS[..]);
    (end, 0..2000_u64, 0..=65536_u32)
        .prop_map(|(end, before, lead)| Instant { position: end - before, lead })
}

#[test]
fn many_samples_are_no_more_than_the_time_holds() {
    // From 2^33 samples on a double has no room for 2^-20 of one.
    for (seconds, rate, samples) in
        [(8192.2, 1e6, 8_192_200_000), (8.3, 1e9, 8_300_000_000), (0.07, 100.0, 7)]
    {
        assert_eq!(whole_samples(seconds, rate), Some(samples), "{seconds} s at {rate}");
    }
    assert_eq!(whole_samples(8_192.200_000_4, 1e6), Some(8_192_200_001));
}

#[test]
fn swings_stop_at_the_last_position() {
    let mut swings = Swings::<u8>::new(0);
    swings.push(u64::MAX - 1, &[1, 9, 1, 9], |_| ());
    assert_eq!(swings.last().map(|swing| swing.at), Some(u64::MAX));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Exact to the part below 2^37, to half a part more than a double's step beyond.
    #[test]
    fn numbers_of_samples_are_exact(at in instants()) {
        let found = at.samples();
        if at.position <= 1 << 37 {
            prop_assert_eq!((found * 65536.0) as i128, parts(at));
        } else {
            let step = f64::from_bits(found.to_bits() + 1) - found;
            let off = (found as i128 - parts(at) / 65536).unsigned_abs();
            prop_assert!(off <= 1 + step as u128, "{at:?}: {found}");
        }
    }

    #[test]
    fn times_between_instants_are_exact(a in instants(), b in instants()) {
        let (earlier, later) = if parts(a) <= parts(b) { (a, b) } else { (b, a) };
        let exact = match later.position.saturating_sub(earlier.position) {
            0..0x1_0000_0000_0000 => parts(later) - parts(earlier),
            _ => i128::from(u64::MAX),
        };
        prop_assert_eq!(i128::from(later.since(earlier).parts()), exact.min(u64::MAX.into()));
        prop_assert_eq!(earlier.since(later), Span::ZERO);
    }
}

#[test]
fn lengths_of_time_saturate() {
    assert_eq!(Span::samples(1 << 48), Span::MAX);
    assert_eq!(Span::from_samples(1e300), Some(Span::MAX));
    assert_eq!(Span::from_seconds(1e9, 1e9), Some(Span::MAX));
    assert_eq!(whole_samples(1e9, 1e12), Some(u64::MAX));
    assert_eq!(whole_samples(f64::INFINITY, 1.0), Some(u64::MAX));
    assert_eq!(whole_samples(f64::NAN, 1.0), None);
}
