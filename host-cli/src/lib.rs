//! What the `stillwave` program is made of: files in, tables and pictures out.

pub mod error;
pub mod input;
pub mod quantity;
