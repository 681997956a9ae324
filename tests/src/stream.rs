//! A condition on one channel before the oracle and before the engine.

use crate::cases::{self, hold};
use crate::engine::{AnyCondition, Desk, found, holdoff};
use crate::kind::Kind;
use crate::oracle::{Detector, Found, Hold, Holdoff};
use crate::plan::{Step, lost, plan};
use crate::single::Single;
use proptest::prelude::*;
use stillwave::{Block, Trigger};

/// What to look for, the signal to find it in, and how it is handed over.
pub trait Stream<T: Kind> {
    /// What the engine looks for, on a channel.
    fn condition(&self, channel: u8) -> AnyCondition<T>;
    /// What the oracle looks for.
    fn detector(&self) -> Box<dyn Detector<T::Exact>>;
    /// What is held off.
    fn hold(&self) -> Hold;
    /// Samples lost before the first: where positions begin.
    fn start(&self) -> u64;
    /// The signal, as the oracle sees it.
    fn samples(&self) -> &[T];
    /// The signal, as it is handed to the engine.
    fn raw(&self) -> &[T] {
        self.samples()
    }
    /// The lengths of blocks, in turn.
    fn lengths(&self) -> &[usize];
}

impl<T: Kind> Stream<T> for cases::Case<T> {
    fn condition(&self, channel: u8) -> AnyCondition<T> {
        Self::condition(self, channel)
    }

    fn detector(&self) -> Box<dyn Detector<T::Exact>> {
        Self::detector(self)
    }

    fn hold(&self) -> Hold {
        self.hold
    }

    fn start(&self) -> u64 {
        self.start
    }

    fn samples(&self) -> &[T] {
        &self.samples
    }

    fn lengths(&self) -> &[usize] {
        &self.lengths
    }
}

impl<T: Kind> Stream<T> for Single<T> {
    fn condition(&self, channel: u8) -> AnyCondition<T> {
        AnyCondition(Box::new(self.setup(channel).build().expect("a condition")))
    }

    fn detector(&self) -> Box<dyn Detector<T::Exact>> {
        Self::detector(self)
    }

    fn hold(&self) -> Hold {
        Hold::None
    }

    fn start(&self) -> u64 {
        self.start
    }

    fn samples(&self) -> &[T] {
        &self.samples
    }

    fn lengths(&self) -> &[usize] {
        &self.lengths
    }
}

/// What happens between two samples.
#[derive(Clone, Debug)]
pub enum Act {
    /// So many samples are lost.
    Gap(u64),
    /// The stream begins anew.
    Reset,
    /// Other events are held off from now on.
    Hold(Hold),
    /// A condition of the same settings takes over, which knows nothing of what was.
    Anew,
}

/// Anything that can happen.
pub fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        3 => lost().prop_map(Act::Gap),
        1 => Just(Act::Reset),
        1 => hold().prop_map(Act::Hold),
        1 => Just(Act::Anew),
    ]
}

/// The events accepted, how many there were, and how many were held off.
pub type Outcome = (Vec<Found>, u64, u64);

/// What the rule finds, sample by sample.
pub fn by_oracle<T: Kind>(stream: &impl Stream<T>, actions: &[(usize, Act)]) -> Outcome {
    let (mut detector, mut holdoff) = (stream.detector(), Holdoff::new(stream.hold()));
    let (mut accepted, mut events, mut held_off) = (Vec::new(), 0, 0);
    let mut position = stream.start();
    for step in plan(stream.samples().len(), &[1], actions) {
        match step {
            Step::Block(one) => {
                for &x in &stream.samples()[one] {
                    if let Some(event) = detector.sample(position, x.exact()) {
                        events += 1;
                        if holdoff.accepts(position) {
                            accepted.push(event);
                        } else {
                            held_off += 1;
                        }
                    }
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                detector.gap();
                position += lost;
            }
            Step::Act(Act::Reset) => {
                (detector, holdoff) = (stream.detector(), Holdoff::new(stream.hold()));
                (position, events, held_off) = (0, 0, 0);
            }
            Step::Act(Act::Hold(hold)) => holdoff = Holdoff::new(hold),
            Step::Act(Act::Anew) => detector = stream.detector(),
        }
    }
    (accepted, events, held_off)
}

fn trigger<T: Kind>(stream: &impl Stream<T>, channel: u8) -> Trigger<AnyCondition<T>> {
    Trigger::new(stream.condition(channel), holdoff(stream.hold())).expect("a trigger")
}

/// What does not move positions.
fn act_on<T: Kind>(
    trigger: &mut Trigger<AnyCondition<T>>,
    act: &Act,
    stream: &impl Stream<T>,
    channel: u8,
) {
    match *act {
        Act::Reset => {
            trigger.reset();
            // A reset clears what happened, not what was asked for.
            trigger.set_holdoff(holdoff(stream.hold())).expect("a holdoff");
        }
        Act::Hold(hold) => trigger.set_holdoff(holdoff(hold)).expect("a holdoff"),
        Act::Anew => trigger.set_condition(stream.condition(channel)),
        Act::Gap(lost) => trigger.gap(lost),
    }
}

/// What the engine finds, block by block.
pub fn by_engine<T: Kind>(stream: &impl Stream<T>, actions: &[(usize, Act)]) -> Outcome {
    let mut trigger = trigger(stream, 0);
    let (mut accepted, mut desk) = (Vec::new(), Desk::default());
    trigger.gap(stream.start());
    for step in plan(stream.samples().len(), stream.lengths(), actions) {
        match step {
            Step::Block(range) => {
                let block = desk.lay(&stream.raw()[range]);
                trigger.push(block, |event| accepted.push(found(event)));
            }
            Step::Act(act) => act_on(&mut trigger, &act, stream, 0),
        }
    }
    (accepted, trigger.events(), trigger.held_off())
}

/// As [`by_engine`], on the second of two channels, for a caller that counts positions: lost
/// samples show in where a block begins.
pub fn by_positions<T: Kind>(stream: &impl Stream<T>, actions: &[(usize, Act)]) -> Outcome {
    let mut trigger = trigger(stream, 1);
    let (mut accepted, mut position) = (Vec::new(), stream.start());
    for step in plan(stream.samples().len(), stream.lengths(), actions) {
        match step {
            Step::Block(range) => {
                let other = vec![T::MAX; range.len()];
                let channels = [&other[..], &stream.raw()[range]];
                let block = Block::new(position, &channels);
                accepted.extend(std::iter::from_fn(|| trigger.next(&block)).map(found));
                position = block.end();
            }
            Step::Act(Act::Gap(lost)) if lost > 0 => position += lost,
            Step::Act(act) => {
                act_on(&mut trigger, &act, stream, 1);
                if matches!(act, Act::Reset) {
                    position = 0;
                }
            }
        }
    }
    (accepted, trigger.events(), trigger.held_off())
}
