//! Stub.
use super::{OpenOptions, Recording};
use crate::error::Error;
use std::path::Path;
pub(super) fn is_named(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "sigmf-meta" || e == "sigmf-data")
}
pub(super) fn open(_source: &Path, _options: &OpenOptions) -> Result<Recording, Error> {
    Err(Error::usage("not yet", "wait"))
}
