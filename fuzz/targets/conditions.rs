//! Conditions on one channel, with holdoff, gaps, resets and changes, against the oracle.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave_fuzz::core_input::{Bound, Cuts, Holding, Lost, Threshold, Type, Wave, Widths, acts};
use stillwave_fuzz::for_type;
use stillwave_tests::cases::{self, Case};
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::When;
use stillwave_tests::single::{Asked, Single, Way};
use stillwave_tests::stream::{Act, Stream, by_engine, by_oracle, by_positions};

#[derive(Arbitrary, Debug)]
enum Sought {
    Edge,
    Pulse(Widths),
    Interval(Widths),
    Dropout(Bound),
    Transition(Widths),
    Runt(Option<Widths>),
    WindowGoes,
    WindowStays(Bound),
    WindowStayed(Bound),
}

#[derive(Arbitrary, Debug)]
enum Happens {
    Gap(Lost),
    Reset,
    Hold(Holding),
    Anew,
}

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    sought: Sought,
    way: u8,
    threshold: Threshold,
    /// The second level, in steps from the first.
    apart: i8,
    start: Lost,
    hold: Holding,
    cuts: Cuts,
    acts: Vec<(u16, Happens)>,
    wave: Wave,
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

fn check<T: Kind>(input: &Input) {
    let (level, hysteresis) = (input.threshold.level::<T>(), input.threshold.hysteresis::<T>());
    let way = [Way::Up, Way::Down, Way::Either][usize::from(input.way % 3)];
    let (start, lengths) = (input.start.samples(), input.cuts.lengths());
    let asked = match input.sought {
        Sought::Edge => {
            let asked = match way {
                Way::Either => cases::Asked::Either,
                way => cases::Asked::Edge { rising: way == Way::Up },
            };
            let (hold, samples) =
                (input.hold.hold(), input.wave.samples::<T>(&[level], hysteresis));
            let case = Case::<T> { asked, hold, level, hysteresis, start, samples, lengths };
            return agree(&case, input);
        }
        Sought::Pulse(widths) => Asked::Pulse(widths.width()),
        Sought::Interval(widths) => Asked::Interval(widths.width()),
        Sought::Dropout(after) => Asked::Dropout(after.samples()),
        Sought::Transition(widths) => Asked::Transition(widths.width()),
        Sought::Runt(widths) => Asked::Runt(widths.map(Widths::width)),
        Sought::WindowGoes => Asked::Window { inside: input.apart % 2 == 0, when: When::Goes },
        Sought::WindowStays(time) => {
            Asked::Window { inside: input.apart % 2 == 0, when: When::StaysLonger(time.samples()) }
        }
        Sought::WindowStayed(time) => {
            Asked::Window { inside: input.apart % 2 == 0, when: When::StaysShorter(time.parts()) }
        }
    };
    let other = T::near(level, hysteresis, input.apart.into()).widen();
    let (low, high) = if level < other { (level, other) } else { (other, level) };
    let samples = input.wave.samples::<T>(&[low, high], hysteresis);
    let case = Single::<T> { asked, way, low, high, hysteresis, start, samples, lengths };
    // What the engine does not take, it refuses.
    if case.setup(0).build().is_ok() {
        agree(&case, input);
    }
}

fn agree<T: Kind>(stream: &impl Stream<T>, input: &Input) {
    let actions = acts(&input.acts, |act| match *act {
        Happens::Gap(lost) => Act::Gap(lost.samples()),
        Happens::Reset => Act::Reset,
        Happens::Hold(holding) => Act::Hold(holding.hold()),
        Happens::Anew => Act::Anew,
    });
    let expected = by_oracle(stream, &actions);
    assert_eq!(by_engine(stream, &actions), expected);
    assert_eq!(by_positions(stream, &actions), expected);
}
