//! An open recording.

use super::info::Info;
use super::reader::Reader;

/// An open recording, by the type in which its samples arrive.
pub enum Recording {
    /// 8-bit unsigned.
    U8(Reader<u8>),
    /// 8-bit signed.
    I8(Reader<i8>),
    /// 16-bit unsigned.
    U16(Reader<u16>),
    /// 16-bit signed.
    I16(Reader<i16>),
    /// 32-bit unsigned.
    U32(Reader<u32>),
    /// 32-bit signed, and packed 24-bit.
    I32(Reader<i32>),
    /// 32-bit floating-point, and whatever was narrowed to it.
    F32(Reader<f32>),
}

/// Evaluates an expression with the reader of a [`Recording`], whatever its sample type.
///
/// ```
/// # use stillwave_cli::{input::Recording, with_reader};
/// fn frames(recording: &Recording) -> Option<u64> {
///     with_reader!(recording, reader => reader.info().frames)
/// }
/// ```
#[macro_export]
macro_rules! with_reader {
    ($recording:expr, $reader:ident => $body:expr) => {
        match $recording {
            $crate::input::Recording::U8($reader) => $body,
            $crate::input::Recording::I8($reader) => $body,
            $crate::input::Recording::U16($reader) => $body,
            $crate::input::Recording::I16($reader) => $body,
            $crate::input::Recording::U32($reader) => $body,
            $crate::input::Recording::I32($reader) => $body,
            $crate::input::Recording::F32($reader) => $body,
        }
    };
}

impl Recording {
    /// What is known of the recording.
    pub fn info(&self) -> &Info {
        with_reader!(self, reader => reader.info())
    }

    /// Takes the notices that have come up; see [`Reader::take_notices`].
    pub fn take_notices(&mut self) -> Vec<String> {
        with_reader!(self, reader => reader.take_notices())
    }
}
