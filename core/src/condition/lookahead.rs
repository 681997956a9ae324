//! The next of a sequence, held until it is its turn: how several sequences are merged in order.

/// One item looked at in advance.
#[derive(Clone, Debug)]
pub(super) struct Lookahead<E>(Option<E>);

impl<E> Default for Lookahead<E> {
    fn default() -> Self {
        Self(None)
    }
}

impl<E: Copy> Lookahead<E> {
    /// The next item, fetched where none is held.
    #[inline]
    pub(super) fn peek(&mut self, fetch: impl FnOnce() -> Option<E>) -> Option<E> {
        if self.0.is_none() {
            self.0 = fetch();
        }
        self.0
    }

    /// Lets go of the item held.
    #[inline]
    pub(super) fn take(&mut self) -> Option<E> {
        self.0.take()
    }
}
