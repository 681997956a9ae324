//! Code shared by the conditions that measure a time.

use super::thresholds::{Step, Thresholds};
use crate::compare::Flip;
use crate::{Block, Comparator, Event, Sample};

/// What a signal does at its levels, step by step, in order of position.
pub(super) trait Steps {
    /// The type of the samples.
    type Sample: Sample;
    /// The type of a step.
    type Step;

    /// The next step in `block`, or `None` at its end.
    fn next_step(&mut self, block: &Block<'_, Self::Sample>) -> Option<Self::Step>;

    /// Calls `f` for every step left in `block`; faster when there are many steps.
    fn each_step(&mut self, block: &Block<'_, Self::Sample>, f: impl FnMut(Self::Step));

    /// Reports that samples were lost here.
    fn gap(&mut self);

    /// Forgets the stream: the steps are as new.
    fn reset(&mut self);
}

macro_rules! steps {
    ($($source:ident, $step:ident, $next:ident, $each:ident;)*) => {$(
        impl<T: Sample> Steps for $source<T> {
            type Sample = T;
            type Step = $step<T>;

            #[inline]
            fn next_step(&mut self, block: &Block<'_, T>) -> Option<$step<T>> {
                self.$next(block)
            }

            #[inline]
            fn each_step(&mut self, block: &Block<'_, T>, f: impl FnMut($step<T>)) {
                self.$each(block, f);
            }

            #[inline]
            fn gap(&mut self) {
                $source::gap(self);
            }

            #[inline]
            fn reset(&mut self) {
                $source::reset(self);
            }
        }
    )*};
}

steps! {
    Comparator, Flip, next_flip, for_each_flip;
    Thresholds, Step, next, for_each;
}

/// Steps, and the crossing at which the time in progress began. A rule gets both and the next step,
/// and decides whether that step is an event.
#[derive(Clone, Debug)]
pub(super) struct Timed<S: Steps> {
    pub(super) steps: S,
    begin: Option<Flip<S::Sample>>,
}

impl<S: Steps> Timed<S> {
    pub(super) fn new(steps: S) -> Self {
        Self { steps, begin: None }
    }

    /// The next event in `block`, or `None` when it holds no more.
    #[inline]
    pub(super) fn next(
        &mut self,
        block: &Block<'_, S::Sample>,
        rule: impl Fn(&mut Option<Flip<S::Sample>>, S::Step) -> Option<Event>,
    ) -> Option<Event> {
        loop {
            let step = self.steps.next_step(block)?;
            let found = rule(&mut self.begin, step);
            if found.is_some() {
                return found;
            }
        }
    }

    /// Calls `f` for every event left in `block` whose position `accept` accepts.
    #[inline]
    pub(super) fn for_each(
        &mut self,
        block: &Block<'_, S::Sample>,
        rule: impl Fn(&mut Option<Flip<S::Sample>>, S::Step) -> Option<Event>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        // In a local, which the loop can keep in registers.
        let mut begin = self.begin.take();
        self.steps.each_step(block, |step| {
            if let Some(event) = rule(&mut begin, step)
                && accept(event.at.position)
            {
                f(event);
            }
        });
        self.begin = begin;
    }

    pub(super) fn gap(&mut self) {
        self.steps.gap();
        self.begin = None;
    }

    pub(super) fn reset(&mut self) {
        self.steps.reset();
        self.begin = None;
    }
}

/// Implements `Condition` for a type: its method `rule` finds events in its field `timed`.
macro_rules! by_rule {
    ($name:ident) => {
        impl<T: crate::Sample> crate::Condition for $name<T> {
            type Sample = T;

            #[inline]
            fn next(&mut self, block: &crate::Block<'_, T>) -> Option<crate::Event> {
                let rule = self.rule();
                self.timed.next(block, rule)
            }

            #[inline]
            fn for_each(
                &mut self,
                block: &crate::Block<'_, T>,
                accept: impl FnMut(u64) -> bool,
                f: impl FnMut(crate::Event),
            ) {
                let rule = self.rule();
                self.timed.for_each(block, rule, accept, f);
            }

            fn gap(&mut self) {
                self.timed.gap();
            }

            fn reset(&mut self) {
                self.timed.reset();
            }
        }
    };
}
pub(super) use by_rule;
