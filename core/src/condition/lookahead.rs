//! One item fetched ahead of its turn, by which several sequences are merged in order.

/// An item that has been fetched and not yet taken.
#[derive(Clone, Debug)]
pub(super) struct Lookahead<E>(Option<E>);

impl<E> Default for Lookahead<E> {
    fn default() -> Self {
        Self(None)
    }
}

impl<E: Copy> Lookahead<E> {
    /// The next item, fetched if none is held.
    #[inline]
    pub(super) fn peek(&mut self, fetch: impl FnOnce() -> Option<E>) -> Option<E> {
        if self.0.is_none() {
            self.0 = fetch();
        }
        self.0
    }

    /// Removes the held item and returns it.
    #[inline]
    pub(super) fn take(&mut self) -> Option<E> {
        self.0.take()
    }
}
