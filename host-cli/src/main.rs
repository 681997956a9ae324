//! The `stillwave` program.
fn main() {}
