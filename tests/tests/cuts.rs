//! Short signals, cut at every place there is.

use stillwave::{Acquisition, Mode, RecordShape, Trigger};
use stillwave_tests::cases::{Asked, Case};
use stillwave_tests::dice::Dice;
use stillwave_tests::engine::{Desk, found};
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, Hold, Width};

const LENGTH: usize = 36;

/// A condition with a short signal full of corners, one in four of them broken where that can be.
fn case<T: Kind>(asked: Asked, seed: u64) -> Case<T> {
    let mut dice = Dice::new(seed);
    let (level, hysteresis) = (T::near(T::ZERO, T::ZERO, 7).widen(), T::hysteresis(&mut dice));
    let corners = T::corners(level, hysteresis);
    let samples = (0..LENGTH).map(|_| dice.pick(&corners).spoil(&mut dice, 4)).collect();
    Case { asked, hold: Hold::None, level, hysteresis, start: 0, samples, lengths: vec![LENGTH] }
}

fn expected<T: Kind>(case: &Case<T>) -> Vec<Found> {
    let mut detector = case.detector();
    let samples = case.samples.iter().enumerate();
    samples.filter_map(|(at, x)| detector.sample(at as u64, x.exact())).collect()
}

/// Every way of making three blocks of a stream; one or two of them may be empty.
fn three_blocks() -> impl Iterator<Item = [std::ops::Range<usize>; 3]> {
    let cuts = (0..=LENGTH).flat_map(|a| (a..=LENGTH).map(move |b| (a, b)));
    cuts.map(|(a, b)| [0..a, a..b, b..LENGTH])
}

/// Holds events and records to one another over all cuts; gives how many events there were.
fn every_cut<T: Kind>(asked: Asked) -> usize {
    let mut total = 0;
    for seed in 0..12 {
        let case = case::<T>(asked, seed);
        let expected = expected(&case);
        total += expected.len();
        for blocks in three_blocks() {
            let trigger = Trigger::new(case.condition(0), stillwave::Holdoff::None).unwrap();
            let shape = RecordShape::new(3, 4).unwrap();
            let mut acquisition =
                Acquisition::new(trigger, shape, Mode::Normal, [T::MAX; 9]).unwrap();
            let (mut desk, mut events) = (Desk::default(), Vec::new());
            for block in blocks.clone() {
                acquisition.push_channels(
                    &[desk.lay(&case.samples[block])],
                    |event| events.push(found(event)),
                    |record| {
                        let from = record.start as usize;
                        let bits = |x: &T| x.bits();
                        assert!(
                            record
                                .samples()
                                .iter()
                                .map(bits)
                                .eq(case.samples[from..from + 7].iter().map(bits)),
                            "record from {from} in {blocks:?} of {case:?}"
                        );
                    },
                );
            }
            assert_eq!(events, expected, "{blocks:?} of {case:?}");
        }
    }
    total
}

/// All conditions on one type of sample.
fn every_condition<T: Kind>() {
    for rising in [true, false] {
        assert!(every_cut::<T>(Asked::Edge { rising }) > 20);
        let width = Width::Outside(2 << 16, 3 << 16);
        assert!(every_cut::<T>(Asked::Pulse { positive: rising, width }) > 10);
    }
    assert!(every_cut::<T>(Asked::Either) > 40);
}

#[test]
fn u8_samples() {
    every_condition::<u8>();
}

#[test]
fn i16_samples() {
    every_condition::<i16>();
}

#[test]
fn u32_samples() {
    every_condition::<u32>();
}

#[test]
fn f32_samples() {
    every_condition::<f32>();
}
