//! A signal that can be read again and again.

use core::convert::Infallible;

use crate::couple::Filter;
use crate::{Coupling, Sample};

/// A signal that can be read from its beginning as often as needed: a record in memory, or a file
/// that is read again.
///
/// The example computes its signal again for each pass:
///
/// ```
/// use stillwave::suggest::{Means, Replay, suggest};
/// use std::convert::Infallible;
/// /// A signal that is computed anew for each look.
/// struct Square;
/// impl Replay<u8> for Square {
///     type Error = Infallible;
///     fn replay(&mut self, mut each: impl FnMut(&[u8])) -> Result<(), Infallible> {
///         for _ in 0..100 {
///             each(&[10; 50]);
///             each(&[200; 50]);
///         }
///         Ok(())
///     }
/// }
/// let Ok(found) = suggest(&mut Square, Means::default());
/// assert_eq!(found.overview.samples, 10_000);
/// ```
pub trait Replay<T: Sample> {
    /// The error that prevents reading.
    type Error;

    /// Calls `each` with the whole signal once, in blocks of any length. It must be the same each
    /// time.
    ///
    /// # Errors
    /// The signal cannot be read.
    fn replay(&mut self, each: impl FnMut(&[T])) -> Result<(), Self::Error>;
}

impl<T: Sample> Replay<T> for &[T] {
    type Error = Infallible;

    fn replay(&mut self, mut each: impl FnMut(&[T])) -> Result<(), Infallible> {
        each(self);
        Ok(())
    }
}

/// A signal as a trigger sees it: after a coupling.
pub(super) struct Coupled<'r, R> {
    pub(super) signal: &'r mut R,
    pub(super) coupling: Coupling,
}

/// The number of samples that are filtered at a time.
pub(super) const CHUNK: usize = 64;

impl<T: Sample, R: Replay<T>> Replay<T> for Coupled<'_, R> {
    type Error = R::Error;

    fn replay(&mut self, mut each: impl FnMut(&[T])) -> Result<(), R::Error> {
        if self.coupling == Coupling::Dc {
            return self.signal.replay(each);
        }
        let coupling = self.coupling;
        let mut filter = Filter::default();
        let mut out = [T::default(); CHUNK];
        self.signal.replay(|block| {
            for chunk in block.chunks(CHUNK) {
                let out = out.get_mut(..chunk.len()).unwrap_or_default();
                filter.pass(coupling, chunk, out);
                each(out);
            }
        })
    }
}
