//! One run of the program in a folder.

use std::path::Path;
use std::process::{Command, Stdio};

use crate::program::program;

/// Its status, what it writes and what it tells.
pub(crate) fn run(folder: &Path, words: &str) -> (Option<i32>, String, String) {
    let output = Command::new(program())
        .current_dir(folder)
        .args(words.split_whitespace())
        .stdin(Stdio::null())
        .output()
        .expect("the program runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}
