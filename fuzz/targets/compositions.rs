//! Conditions on several channels against the oracle, as values and out of the catalogue.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave_fuzz::core_input::{
    Bound, Cuts, Lost, Threshold, Type, Wave, Widths, breaks, side_by_side,
};
use stillwave_fuzz::for_type;
use stillwave_tests::cases::Asked;
use stillwave_tests::kind::Kind;
use stillwave_tests::multi::{Many, ManyCase, Part};
use stillwave_tests::oracle::many::{Must, Until};
use stillwave_tests::scene::{by_condition, by_engine, by_oracle};

#[derive(Arbitrary, Debug)]
enum Sought {
    Delay(Widths),
    CountFromStart(u8),
    CountFromQuiet(u8, Bound),
    CountFromOther(u8),
    Sequence { delay: Bound, events: u8, timeout: Option<Bound>, reset: bool },
    Qualified { high: bool },
    SetupHold { setup: Bound, hold: Bound },
    Pattern { musts: [u8; 3], until: Stays },
}

#[derive(Arbitrary, Debug)]
enum Stays {
    Enters,
    Leaves,
    Longer(Bound),
    Shorter(Bound),
}

#[derive(Arbitrary, Debug)]
struct Line {
    threshold: Threshold,
    asked: u8,
    widths: Widths,
    /// On the channel of its own number, or on the first.
    first: bool,
    wave: Wave,
}

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    sought: Sought,
    lines: [Line; 3],
    cuts: Cuts,
    breaks: Vec<(u16, Option<Lost>)>,
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

fn many(sought: &Sought) -> Many {
    match *sought {
        Sought::Delay(widths) => Many::Delay(widths.width()),
        Sought::CountFromStart(n) => Many::CountFromStart(n.into()),
        Sought::CountFromQuiet(n, quiet) => Many::CountFromQuiet(n.into(), quiet.samples()),
        Sought::CountFromOther(n) => Many::CountFromOther(n.into()),
        Sought::Sequence { delay, events, timeout, reset } => Many::Sequence {
            delay: delay.samples(),
            events: events.into(),
            timeout: timeout.map(Bound::samples),
            reset,
        },
        Sought::Qualified { high } => Many::Qualified { high },
        Sought::SetupHold { setup, hold } => {
            Many::SetupHold { setup: setup.parts(), hold: hold.parts() }
        }
        Sought::Pattern { musts, ref until } => {
            let must = |byte: u8| {
                let high = byte & 1 > 0;
                match byte / 2 % 8 {
                    0 => Must::Become { high },
                    1 => Must::Change,
                    _ => Must::Be { high },
                }
            };
            let until = match until {
                Stays::Enters => Until::Enters,
                Stays::Leaves => Until::Leaves,
                Stays::Longer(time) => Until::Longer(time.samples()),
                Stays::Shorter(time) => Until::Shorter(time.parts()),
            };
            Many::Pattern(musts.map(must).to_vec(), until)
        }
    }
}

fn check<T: Kind>(input: &Input) {
    let parts: Vec<Part<T>> = (0_u8..)
        .zip(&input.lines)
        .map(|(number, line)| Part {
            asked: match line.asked % 6 {
                0 | 1 => Asked::Edge { rising: line.asked % 2 == 0 },
                2 => Asked::Either,
                other => Asked::Pulse { positive: other % 2 == 0, width: line.widths.width() },
            },
            level: line.threshold.level::<T>(),
            hysteresis: line.threshold.hysteresis::<T>(),
            channel: if line.first { 0 } else { number },
        })
        .collect();
    let lines = input.lines.iter().zip(&parts);
    let channels =
        side_by_side(lines.map(|(line, part)| (&line.wave, part.level, part.hysteresis)));
    let lengths = input.cuts.lengths();
    let case = ManyCase { many: many(&input.sought), parts, channels, lengths };
    let Ok(from_catalogue) = case.composition().build() else { return };
    let breaks = breaks(&input.breaks);
    let expected = by_oracle(&case, &breaks);
    assert_eq!(by_engine(&case, &breaks), expected);
    assert_eq!(by_condition(from_catalogue, &case, &breaks), expected);
}
