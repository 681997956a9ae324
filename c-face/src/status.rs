//! What a call came to.

/// What a call came to; 0 is success.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u32)]
pub enum StillwaveStatus {
    /// Done.
    Ok = 0,
    /// A pointer that must not be null is null.
    NullPointer = 1,
    /// A pointer is not aligned for what it points to.
    Misaligned = 2,
    /// A size is not that of this library's structure, or no memory is that large.
    WrongSize = 3,
    /// The acquisition was never started, or was copied or overwritten since.
    NotStarted = 4,
    /// A setting is out of its range: where there is a fault, it says which.
    BadSetting = 5,
    /// Called from within a callback of the same acquisition.
    Busy = 6,
    /// The samples lie in the memory of the records.
    Overlap = 7,
}
