//! What an event says, for tables, labels and sentences.

use std::borrow::Cow;

use stillwave::{Polarity, Slope, Span};

/// What an event says, for tables, labels and sentences. Most events fill a few of the fields.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct EventText {
    /// `edge`, `pulse`, …
    pub(crate) kind: &'static str,
    /// The event in at most 20 characters.
    pub(crate) label: Cow<'static, str>,
    pub(crate) slope: Option<Slope>,
    pub(crate) polarity: Option<Polarity>,
    /// What happened at a window or to a pattern, or was said on a serial line.
    pub(crate) what: Option<&'static str>,
    /// How long it took, and what that time is.
    pub(crate) time: Option<(TimeKind, Span)>,
    pub(crate) events: Option<u32>,
    pub(crate) address: Option<u8>,
    pub(crate) read: Option<bool>,
    pub(crate) value: Option<u32>,
    pub(crate) acknowledged: Option<bool>,
    pub(crate) line: Option<u16>,
    pub(crate) field: Option<&'static str>,
    /// Columns of a table that other events of the condition fill, and this one may not.
    pub(crate) columns: &'static [&'static str],
}

/// What the time of an event is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeKind {
    /// The width of a pulse.
    Width,
    /// The time from one edge to the next.
    Interval,
    /// Any other.
    Duration,
}

impl EventText {
    /// An event that says nothing more.
    pub(super) fn new(kind: &'static str, label: impl Into<Cow<'static, str>>) -> Self {
        Self { kind, label: label.into(), ..Self::default() }
    }

    /// An event that took a time.
    pub(super) fn lasting(kind: &'static str, label: &'static str, time: Span) -> Self {
        Self { time: Some((TimeKind::Duration, time)), ..Self::new(kind, label) }
    }
}
