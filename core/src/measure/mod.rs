//! Measurements on a record.
