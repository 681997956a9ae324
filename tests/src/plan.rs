//! In which pieces a signal is handed over, and what happens between them.

use proptest::collection::vec;
use proptest::prelude::*;
use std::ops::Range;

/// One step of a plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Step<A> {
    /// These samples of the signal come next.
    Block(Range<usize>),
    /// This happens before the sample after.
    Act(A),
}

/// Cuts a signal of `length` samples into blocks of these lengths in turn, and between the right
/// two samples lets every action happen. Actions are in order of their place.
///
/// # Panics
/// Without lengths.
pub fn plan<A: Clone>(length: usize, lengths: &[usize], actions: &[(usize, A)]) -> Vec<Step<A>> {
    let mut steps = Vec::new();
    let mut actions = actions.iter().peekable();
    let (mut at, mut turn) = (0, lengths.iter().cycle());
    while at < length {
        while let Some((_, action)) = actions.next_if(|(place, _)| *place <= at) {
            steps.push(Step::Act(action.clone()));
        }
        let next_action = actions.peek().map_or(length, |(place, _)| *place);
        let end = (at + turn.next().expect("a length")).min(length).min(next_action);
        steps.push(Step::Block(at..end));
        at = end;
    }
    steps
}

/// Lengths of blocks: none, one, a few, many; not all 0.
pub fn lengths() -> impl Strategy<Value = Vec<usize>> {
    let length = prop_oneof![Just(0), Just(1), 2..20_usize, 20..700_usize];
    vec(length, 0..9).prop_map(|mut lengths| {
        lengths.push(257);
        lengths
    })
}

/// Actions at places in a signal of up to `longest` samples, in order of place.
pub fn actions<A: std::fmt::Debug + Clone>(
    action: impl Strategy<Value = A>,
    most: usize,
    longest: usize,
) -> impl Strategy<Value = Vec<(usize, A)>> {
    vec((0..longest, action), 0..=most).prop_map(|mut actions| {
        actions.sort_by_key(|(place, _)| *place);
        actions
    })
}

/// Samples before the first: none, or just not as many as 32 bits, a double or a signed number
/// count, so that positions pass there.
pub fn far() -> impl Strategy<Value = u64> {
    let near = |end: u64| (0..900_u64).prop_map(move |before| end - before);
    prop_oneof![3 => Just(0), 1 => near(1 << 32), 1 => near(1 << 53), 1 => near(1 << 63)]
}

/// The same actions, after so many samples that were lost.
pub fn after<A>(far: u64, gap: impl Fn(u64) -> A, actions: Vec<(usize, A)>) -> Vec<(usize, A)> {
    let first = (far > 0).then(|| (0, gap(far)));
    first.into_iter().chain(actions).collect()
}

/// Samples lost: none that are known of, a few, or more than 32 bits or a double can count.
pub fn lost() -> impl Strategy<Value = u64> {
    prop_oneof![
        2 => Just(0),
        2 => 1..50_u64,
        1 => (1_u64 << 32) - 900..1 << 32,
        1 => (1_u64 << 53) - 900..1 << 53,
    ]
}
