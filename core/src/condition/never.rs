//! Never: a condition that does not fire, for places where none is needed.

use core::marker::PhantomData;

use crate::{Block, Condition, Event, Sample};

/// A condition that never fires, for example in a [`Count`](crate::Count) since the start.
///
/// It accepts samples and finds no events:
///
/// ```
/// use stillwave::{Holdoff, Never, Trigger};
/// let mut trigger = Trigger::new(Never::<u16>::new(), Holdoff::None)?;
/// assert_eq!(trigger.count(&[0, 65535, 0]), 0);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default)]
pub struct Never<T>(PhantomData<T>);

impl<T> Never<T> {
    /// Makes a condition that never fires.
    pub const fn new() -> Self {
        Self(PhantomData)
    }
}

impl<T: Sample> Condition for Never<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, _: &Block<'_, T>) -> Option<Event> {
        None
    }

    fn gap(&mut self) {}

    fn reset(&mut self) {}
}

/// `None` never fires either.
impl<C: Condition> Condition for Option<C> {
    type Sample = C::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        self.as_mut()?.next(block)
    }

    fn gap(&mut self) {
        if let Some(condition) = self {
            condition.gap();
        }
    }

    fn reset(&mut self) {
        if let Some(condition) = self {
            condition.reset();
        }
    }
}
