//! What there is room for.

use heapless::CString;

/// The most samples in a block.
pub(crate) const BLOCK: usize = 4096;

/// The most channels.
pub(crate) const CHANNELS: usize = 4;

/// A host path as semihosting takes it.
pub(crate) type Path = CString<512>;
