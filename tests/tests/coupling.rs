//! Couplings: conditions see the filtered samples, records the others, positions are those of the
//! stream; for every way of handing a signal over.

use proptest::prelude::*;
use stillwave::{
    Acquisition, Block, Condition, Corner, Coupling, Edge, Event, Holdoff, Input, Inputs, Level,
    Mode, RecordShape, Sample, Slope, Trigger,
};
use stillwave_tests::cases::{Case, edges, pulses};
use stillwave_tests::dice::Dice;
use stillwave_tests::engine::AnyCondition;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Detector, Hold};
use stillwave_tests::plan::actions;
use stillwave_tests::stream::{Act, Stream, act, by_engine, by_oracle, by_positions};

/// A case on filtered samples, the samples before the filter, and what happens on the way.
#[derive(Clone, Debug)]
struct Coupled<T: Kind> {
    case: Case<T>,
    raw: Vec<T>,
    coupling: Coupling,
    acts: Vec<(usize, Act)>,
}

fn coupled<T: Kind>(case: impl Strategy<Value = Case<T>>) -> impl Strategy<Value = Coupled<T>> {
    (case, any::<u64>(), actions(act(), 4, 2000)).prop_map(|(mut case, seed, acts)| {
        let mut dice = Dice::new(seed);
        let parts = [1, i32::MAX as u32, 1 << 30, 1 << 20, 1 << 28, dice.bits() as u32 >> 1 | 1];
        let corner = Corner::from_parts(dice.pick(&parts));
        let choices =
            [Coupling::Ac(corner), Coupling::LowReject(corner), Coupling::HighReject(corner)];
        let coupling = dice.pick(&choices);
        let raw = std::mem::take(&mut case.samples);
        // What is under way in a filter is forgotten at whatever is no other holdoff.
        let mut from = 0;
        let breaks = acts.iter().filter(|(_, act)| !matches!(act, Act::Hold(_)));
        let ends = breaks.map(|(place, _)| *place).chain([raw.len()]);
        for end in ends.filter(|end| *end <= raw.len()) {
            let high = coupling.removes_mean();
            case.samples.extend(T::coupled(&raw[from..end], corner.parts(), high));
            from = end;
        }
        // A level that the filtered signal is near.
        let level = dice.pick(&case.samples);
        if level.is_finite() {
            case.level = level.widen();
        }
        Coupled { case, raw, coupling, acts }
    })
}

fn edge_cases<T: Kind>() -> impl Strategy<Value = Coupled<T>> {
    coupled(edges(6, 400))
}

fn pulse_cases<T: Kind>() -> impl Strategy<Value = Coupled<T>> {
    coupled(pulses(6, 400))
}

impl<T: Kind> Stream<T> for Coupled<T> {
    fn condition(&self, channel: u8) -> AnyCondition<T> {
        let input = Input::Coupled { channel, coupling: self.coupling };
        let condition = self.case.condition(channel);
        AnyCondition(if channel == 0 {
            Box::new(Inputs::new(condition, [input]).expect("inputs"))
        } else {
            Box::new(Inputs::new(condition, [Input::Channel(0), input]).expect("inputs"))
        })
    }

    fn detector(&self) -> Box<dyn Detector<T::Exact>> {
        self.case.detector()
    }

    fn hold(&self) -> Hold {
        self.case.hold
    }

    fn start(&self) -> u64 {
        self.case.start
    }

    fn samples(&self) -> &[T] {
        &self.case.samples
    }

    fn raw(&self) -> &[T] {
        &self.raw
    }

    fn lengths(&self) -> &[usize] {
        &self.case.lengths
    }
}

fn check<T: Kind>(coupled: &Coupled<T>) -> Result<(), TestCaseError> {
    let expected = by_oracle(coupled, &coupled.acts);
    prop_assert_eq!(&by_engine(coupled, &coupled.acts), &expected);
    prop_assert_eq!(&by_positions(coupled, &coupled.acts), &expected);
    Ok(())
}

for_every_type!(edges_of_what_passes: check over edge_cases, 128);
for_every_type!(pulses_of_what_passes: check over pulse_cases, 64);

#[test]
fn the_cases_have_events() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let cases = (0..100).map(|_| edge_cases::<u16>().new_tree(&mut runner).unwrap().current());
    let events: u64 = cases.map(|case| by_oracle(&case, &case.acts).1).sum();
    assert!(events > 2000, "{events} events");
}

/// Keeps the samples that a condition sees.
struct Tap<T>(Vec<T>);

impl<T: Sample> Condition for Tap<T> {
    type Sample = T;

    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        // A block is asked for until it holds no more: once.
        self.0.extend(block.channel(0));
        None
    }

    fn gap(&mut self) {}

    fn reset(&mut self) {}
}

fn passed<T: Sample>(coupling: Coupling, samples: &[T]) -> Vec<T> {
    let mut inputs =
        Inputs::new(Tap(Vec::new()), [Input::Coupled { channel: 0, coupling }]).unwrap();
    let block = [samples];
    assert_eq!(inputs.next(&Block::new(0, &block)), None);
    inputs.condition().0.clone()
}

/// A signal through the filter that `SciPy` makes (`data/coupling.py`).
#[derive(serde::Deserialize)]
struct Vector {
    #[serde(rename = "type")]
    kind: String,
    /// As a part of the sample rate.
    corner: f64,
    samples: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
}

impl Vector {
    /// Holds what passes to within `error` of what `SciPy` has.
    fn check<T: Kind + Into<f64>>(&self, sample: impl Fn(f64) -> T, error: f64) {
        let samples: Vec<T> = self.samples.iter().map(|&x| sample(x)).collect();
        let corner = Corner::new(self.corner, 1.0).unwrap();
        for (coupling, expected) in [
            (Coupling::HighReject(corner), &self.low),
            (Coupling::Ac(corner), &self.high),
            (Coupling::LowReject(corner), &self.high),
        ] {
            let middle = if coupling.removes_mean() { T::MIDDLE.into() } else { 0.0 };
            for (n, (x, y)) in passed(coupling, &samples).into_iter().zip(expected).enumerate() {
                let limited = y.clamp(T::MIN.into() - middle, T::MAX.into() - middle);
                let apart = (x.into() - middle - limited).abs();
                assert!(apart <= error, "{} {coupling:?}, sample {n}: off by {apart}", self.kind);
            }
        }
    }
}

#[test]
fn scipy_lets_the_same_pass() {
    let vectors: Vec<Vector> = serde_json::from_str(include_str!("../data/coupling.json")).unwrap();
    assert_eq!(vectors.len(), 28);
    for vector in &vectors {
        // Half a count from the rounding.
        match vector.kind.as_str() {
            "u1" => vector.check(|x| x as u8, 0.5001),
            "i1" => vector.check(|x| x as i8, 0.5001),
            "u2" => vector.check(|x| x as u16, 0.5001),
            "i2" => vector.check(|x| x as i16, 0.5001),
            // The gain is held to 2^-33; of 2^32 counts, twice that over 200 samples.
            "u4" => vector.check(|x| x as u32, 200.0),
            "i4" => vector.check(|x| x as i32, 200.0),
            "f4" => vector.check(|x| x as f32, 2e-6),
            other => panic!("samples of type {other}"),
        }
    }
}

#[test]
fn records_keep_what_the_filter_took_away() {
    let input =
        Input::Coupled { channel: 0, coupling: Coupling::Ac(Corner::new(1.0, 1e3).unwrap()) };
    // 60 counts over the mean, which is 3001.
    let level = Level::<u16>::new(i32::from(u16::MIDDLE) + 60, 100).unwrap();
    let edge = Inputs::new(Edge::new(Slope::Rising, level).unwrap(), [input]).unwrap();
    let trigger = Trigger::new(edge, Holdoff::None).unwrap();
    let shape = RecordShape::new(4, 6).unwrap();
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; 10]).unwrap();
    let signal: Vec<u16> =
        (0..5000).map(|i| if (i + 5) % 20 < 10 { 3100 } else { 2900 } + i % 3).collect();
    let mut settled = 0;
    acquisition.push(&signal, |record| {
        settled += u32::from(record.start > 1000);
        let from = record.start as usize;
        assert_eq!(record.samples(), &signal[from..from + 10]);
        assert_eq!((from + 4 + 5) % 20, 0);
    });
    // The last is not complete.
    assert_eq!(settled, (5000 - 1000) / 20 - 1);
}

#[test]
fn corners_out_of_range() {
    for (hertz, rate) in
        [(0.0, 1e3), (-1.0, 1e3), (251.0, 1e3), (f64::NAN, 1e3), (1.0, 0.0), (1.0, f64::NAN)]
    {
        assert!(Corner::new(hertz, rate).is_err(), "{hertz} Hz at {rate} S/s");
    }
    assert_eq!(Corner::new(250.0, 1e3).unwrap().parts(), (1 << 31) - 1);
    for parts in [0, 1 << 31, u32::MAX] {
        assert!(Coupling::Ac(Corner::from_parts(parts)).validated().is_err());
        let coupling = Coupling::HighReject(Corner::from_parts(parts));
        let edge = Edge::new(Slope::Rising, Level::<i16>::new(0, 0).unwrap()).unwrap();
        assert!(Inputs::new(edge, [Input::Coupled { channel: 0, coupling }]).is_err());
    }
    assert_eq!(Coupling::Dc.validated().unwrap().corner(), None);
}

/// A step of 10000 counts is over but for a hundredth when the filter says that it is.
#[test]
fn a_step_settles_when_it_should() {
    for hertz in [0.5, 3.0, 40.0, 250.0] {
        let corner = Corner::new(hertz, 1e3).unwrap();
        let mut step = vec![-5000_i16; 10];
        step.resize(10_000, 5000);
        let out = passed(Coupling::Ac(corner), &step);
        let settled = out.iter().rposition(|x| x.unsigned_abs() > 100).unwrap() + 1 - 10;
        let said = corner.settling() as usize;
        assert!(settled.abs_diff(said) <= 2, "{hertz} Hz: {settled}, said {said}");
    }
}
