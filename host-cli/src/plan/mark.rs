//! The levels of a trigger.

/// A level that the condition looks at.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What it is.
    pub name: String,
    /// Where it is, in counts.
    pub counts: f64,
    /// Whether it only arms.
    pub minor: bool,
    /// What crossings an event takes.
    pub need: Need,
}

/// Whether there is no event unless a level is crossed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Each such level.
    Each,
    /// One of them at least.
    Any,
    /// None.
    None,
}
