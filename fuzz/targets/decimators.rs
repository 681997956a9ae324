//! Decimators against plain loops over the whole stream.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave_fuzz::core_input::{Cuts, Lost, Threshold, Type, Wave, acts};
use stillwave_fuzz::for_type;
use stillwave_tests::decimators::{Case, Whole, boxcar, cic, envelope, every, fir};
use stillwave_tests::kind::Kind;

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    how: u8,
    step: u16,
    seed: u64,
    threshold: Threshold,
    cuts: Cuts,
    acts: Vec<(u16, Lost)>,
    wave: Wave,
}

fuzz_target!(|input: Input| {
    let done = match (input.how % 5, input.kind) {
        (0, kind) => for_type!(kind, each(&input)),
        (1, kind) => for_type!(kind, extremes(&input)),
        (how, Type::U8) => sums::<u8>(how, &input),
        (how, Type::U16) => sums::<u16>(how, &input),
        (how, Type::I32) => sums::<i32>(how, &input),
        (how, _) => sums::<i16>(how, &input),
    };
    done.unwrap_or_else(|error| panic!("{error}"));
});

type Checked = Result<(), proptest::test_runner::TestCaseError>;

fn case<T: Kind>(input: &Input) -> Case<T> {
    let level = input.threshold.level::<T>();
    Case {
        step: 1 + u32::from(input.step % 700),
        samples: input.wave.samples(&[level], input.threshold.hysteresis::<T>()),
        lengths: input.cuts.lengths(),
        gaps: acts(&input.acts, |lost| lost.samples()),
        seed: input.seed,
    }
}

fn each<T: Kind>(input: &Input) -> Checked {
    every::<T>(&case(input))
}

fn extremes<T: Kind>(input: &Input) -> Checked {
    envelope::<T>(&case(input))
}

fn sums<T: Whole>(how: u8, input: &Input) -> Checked
where
    T::Wide: Into<i64>,
{
    let case = case::<T>(input);
    match how {
        2 => boxcar(&case),
        3 => cic(&case),
        _ => fir(&case),
    }
}
