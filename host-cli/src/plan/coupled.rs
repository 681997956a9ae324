//! A condition with its filter.

use stillwave::{Block, Condition, Coupling, Event, Input, Inputs};

use super::Sources;
use crate::error::Error;

/// The most channels that any condition looks at: those of a pattern, and that to trigger on.
const SEEN: usize = stillwave::PATTERN_LINES + 1;

/// A condition, and the filter before it if there is one.
#[derive(Debug, Clone)]
// The one without a filter is the common one, and there are never many.
#[allow(clippy::large_enum_variant)]
pub enum Coupled<C: Condition> {
    /// It sees the blocks as they come.
    Directly(C),
    /// It sees its channels in their own order, that to trigger on first and filtered.
    Filtered(Box<Inputs<C, SEEN>>),
}

impl<C: Condition> Coupled<C> {
    /// # Errors
    /// Too many channels.
    pub(super) fn new(condition: C, sources: &Sources) -> Result<Self, Error> {
        if sources.coupling() == Coupling::Dc {
            return Ok(Self::Directly(condition));
        }
        let seen = sources.inputs();
        if seen.len() > SEEN {
            return Err(Error::usage("the trigger looks at too many channels", "name fewer"));
        }
        let mut inputs = [Input::Channel(sources.block()); SEEN];
        inputs[..seen.len()].copy_from_slice(&seen);
        Ok(Self::Filtered(Box::new(Inputs::new(condition, inputs)?)))
    }

    /// The condition, to look at.
    pub fn inner(&self) -> &C {
        match self {
            Self::Directly(condition) => condition,
            Self::Filtered(inputs) => inputs.condition(),
        }
    }
}

macro_rules! each {
    ($any:expr, $condition:ident => $body:expr) => {
        match $any {
            Coupled::Directly($condition) => $body,
            Coupled::Filtered($condition) => $body,
        }
    };
}

impl<C: Condition> Condition for Coupled<C> {
    type Sample = C::Sample;

    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        each!(self, condition => condition.next(block))
    }

    fn for_each(
        &mut self,
        block: &Block<'_, C::Sample>,
        accept: impl FnMut(u64) -> bool,
        f: impl FnMut(Event),
    ) {
        each!(self, condition => condition.for_each(block, accept, f));
    }

    fn gap(&mut self) {
        each!(self, condition => condition.gap());
    }

    fn reset(&mut self) {
        each!(self, condition => condition.reset());
    }
}
