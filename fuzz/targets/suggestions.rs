//! Suggested settings: whatever the signal, they are settings that the engine takes.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave::suggest::{Means, suggest};
use stillwave::{Edge, Slope, Trigger};
use stillwave_fuzz::core_input::{Threshold, Type, Wave};
use stillwave_fuzz::for_type;
use stillwave_tests::kind::Kind;

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    threshold: Threshold,
    filters: bool,
    times: u8,
    wave: Wave,
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

fn check<T: Kind>(input: &Input) {
    let level = input.threshold.level::<T>();
    let once = input.wave.samples::<T>(&[level], input.threshold.hysteresis::<T>());
    let samples = once.repeat(1 + usize::from(input.times % 8));
    let Ok(found) = suggest(&mut &samples[..], Means { filters: input.filters });
    let Some(proposal) = found.proposal else { return };
    let edge = Edge::<T>::new(Slope::Rising, proposal.level).expect("a level that may be");
    Trigger::new(edge, proposal.holdoff).expect("a holdoff that may be");
    assert!(proposal.jitter.total().is_finite() && proposal.jitter.total() >= 0.0);
}
