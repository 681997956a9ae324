//! Records, every sample of them, and every count, against the oracle.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave_fuzz::core_input::{Bound, Cuts, Holding, Lost, Threshold, Type, Wave, Widths, acts};
use stillwave_fuzz::for_type;
use stillwave_tests::cases::{Asked, Case};
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::Pace;
use stillwave_tests::recording::{Act, Recording, by_engine, by_oracle};

const LONGEST: usize = 80;

#[derive(Arbitrary, Clone, Copy, Debug)]
enum Paced {
    Normal,
    Auto(Bound),
    Single,
}

impl Paced {
    fn pace(self) -> Pace {
        match self {
            Self::Normal => Pace::Normal,
            Self::Auto(after) => Pace::Auto(after.samples().max(1)),
            Self::Single => Pace::Single,
        }
    }
}

#[derive(Arbitrary, Debug)]
enum Happens {
    Gap(Lost),
    Run,
    Stop,
    Pace(Paced),
    Shape(u8, u8),
    Hold(Holding),
    Anew,
}

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    pulse: Option<Widths>,
    way: u8,
    threshold: Threshold,
    start: Lost,
    hold: Holding,
    shape: (u8, u8),
    pace: Paced,
    channels: u8,
    source: u8,
    spare: u8,
    cuts: Cuts,
    acts: Vec<(u16, Happens)>,
    wave: Wave,
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

/// A record of one sample at least, and no longer than the memory.
fn shape((pre, post): (u8, u8)) -> (usize, usize) {
    let (pre, post) = (usize::from(pre) % (LONGEST / 2), usize::from(post) % (LONGEST / 2));
    (pre, if pre + post == 0 { 1 } else { post })
}

fn check<T: Kind>(input: &Input) {
    let (level, hysteresis) = (input.threshold.level::<T>(), input.threshold.hysteresis::<T>());
    let asked = match (input.pulse, input.way % 3) {
        (Some(widths), way) => Asked::Pulse { positive: way == 0, width: widths.width() },
        (None, 0) => Asked::Either,
        (None, way) => Asked::Edge { rising: way == 1 },
    };
    let case = Case::<T> {
        asked,
        hold: input.hold.hold(),
        level,
        hysteresis,
        start: input.start.samples(),
        samples: input.wave.samples::<T>(&[level], hysteresis),
        lengths: input.cuts.lengths(),
    };
    let channels = 1 + usize::from(input.channels % 3);
    let recording = Recording {
        case,
        actions: acts(&input.acts, |act| match *act {
            Happens::Gap(lost) => Act::Gap(lost.samples()),
            Happens::Run => Act::Run,
            Happens::Stop => Act::Stop,
            Happens::Pace(paced) => Act::Pace(paced.pace()),
            Happens::Shape(pre, post) => {
                let (pre, post) = shape((pre, post));
                Act::Shape(pre, post)
            }
            Happens::Hold(holding) => Act::Hold(holding.hold()),
            Happens::Anew => Act::Anew,
        }),
        shape: shape(input.shape),
        pace: input.pace.pace(),
        channels,
        source: usize::from(input.source) % channels,
        depth: LONGEST + usize::from(input.spare % 50),
    };
    assert_eq!(by_engine(&recording), by_oracle(&recording));
}
