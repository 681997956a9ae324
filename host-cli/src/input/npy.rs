//! Stub.
use super::source::Source;
use super::{OpenOptions, Recording};
use crate::error::Error;
pub(super) fn open(_source: Source, _options: &OpenOptions) -> Result<Recording, Error> {
    Err(Error::usage("not yet", "wait"))
}
