//! The program under test.

use std::ffi::OsString;

/// The one that was built with the tests, or that of the environment: as it is released it checks
/// less of itself, and may do otherwise.
pub(crate) fn program() -> OsString {
    std::env::var_os("STILLWAVE_PROGRAM").unwrap_or_else(|| env!("CARGO_BIN_EXE_stillwave").into())
}
