//! What the program says to bad input: the exact message, the exact status, in little memory and
//! time, and nothing is left behind.
//!
//! Each case is a row: its name, how its files are made, the command line, what the shell does
//! before, the status, and all of the standard error without its `error: ` and without the last
//! line of the command line's parser (`For more information, try '--help'.`). In a command line `¤`
//! stands for a byte that is no UTF-8.
#![cfg(target_os = "linux")]
// Of a row, a closure is what makes its files: one expression, of what `make` has.
#![allow(clippy::semicolon_if_nothing_returned, clippy::wildcard_imports)]

mod commands;
mod csv;
mod expectations;
mod kept;
mod make;
mod npy;
mod outputs;
#[path = "../program/mod.rs"]
mod program;
mod setups;
mod shrinking;
mod sigmf;
mod sources;
mod trigger;
mod wav;

use std::ffi::OsString;
use std::fs;
use std::os::unix::ffi::OsStringExt;
use std::os::unix::fs::FileTypeExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// A row.
struct Case {
    name: &'static str,
    made: fn(&Path),
    line: &'static str,
    /// What the shell does in the folder before it becomes the program.
    before: &'static str,
    status: i32,
    message: &'static str,
}

impl Case {
    const fn before(mut self, before: &'static str) -> Self {
        self.before = before;
        self
    }
}

/// A row with status 2.
const fn case(
    name: &'static str,
    made: fn(&Path),
    line: &'static str,
    message: &'static str,
) -> Case {
    Case { name, made, line, before: "", status: 2, message }
}

/// Own memory that a run may take, in KiB; maps of files are not counted. A run that asks for more
/// is told by the system that there is none, and ends otherwise than its row says.
const MEMORY: u32 = 64 * 1024;
/// A run that takes longer hangs.
const PATIENCE: Duration = Duration::from_secs(60);

/// The program, where anybody may run it.
fn program() -> (TempDir, String) {
    use std::os::unix::fs::PermissionsExt;
    let folder = TempDir::new().unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let program = folder.path().join("stillwave");
    let built = program::program();
    if fs::hard_link(&built, &program).is_err() {
        fs::copy(built, &program).unwrap();
    }
    let name = program.display().to_string();
    (folder, name)
}

/// The files in a folder, with what is in them; but for pipes, which rows make.
fn files(folder: &Path) -> Vec<(OsString, Option<Vec<u8>>)> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| !entry.file_type().unwrap().is_fifo())
        .map(|entry| {
            let content = entry.file_type().unwrap().is_file().then(|| fs::read(entry.path()).ok());
            (entry.file_name(), content.flatten())
        })
        .collect();
    files.sort();
    files
}

fn words(line: &str) -> impl Iterator<Item = OsString> {
    line.split_whitespace().map(|word| {
        let word: Vec<u8> = word.chars().flat_map(byte).collect();
        OsString::from_vec(word)
    })
}

fn byte(c: char) -> Vec<u8> {
    if c == '¤' { vec![0xff] } else { c.to_string().into_bytes() }
}

/// The status (`None` where a signal ended it) and the standard error.
fn run(program: &str, case: &Case, folder: &Path) -> (Option<i32>, String) {
    let errors = tempfile::tempfile().unwrap();
    let mut child = Command::new("sh")
        .arg("-c")
        .arg(format!("ulimit -d {MEMORY}; {} exec \"$@\"", case.before))
        .arg("sh")
        .arg(program)
        .args(words(case.line))
        .current_dir(folder)
        // A stack each is memory too, on a machine with many cores.
        .env("RAYON_NUM_THREADS", "2")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(errors.try_clone().unwrap())
        .spawn()
        .expect("a shell runs");
    let began = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if began.elapsed() > PATIENCE {
            child.kill().unwrap();
            panic!("{}: {}: no end", case.name, case.line);
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    (status.code(), text(errors))
}

fn text(mut file: fs::File) -> String {
    use std::io::{Read, Seek};
    let mut bytes = Vec::new();
    file.rewind().unwrap();
    file.read_to_end(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

/// Holds every row of a table.
fn hold(cases: &[Case]) {
    let (_kept, program) = program();
    let mut wrong = Vec::new();
    for case in cases {
        let folder = TempDir::new().unwrap();
        (case.made)(folder.path());
        let before = files(folder.path());
        let (status, errors) = run(&program, case, folder.path());
        let message = errors.strip_prefix("error: ").unwrap_or(&errors);
        let message = message.trim_end_matches('\n');
        let message =
            message.strip_suffix("\n\nFor more information, try '--help'.").unwrap_or(message);
        if (status, message) != (Some(case.status), case.message) {
            wrong.push(format!("@@{}@@{}@@{message}@@", case.name, status.unwrap_or(-1)));
        }
        if before != files(folder.path()) {
            wrong.push(format!("{}: the folder has changed: {}", case.name, case.line));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
}

macro_rules! tables {
    ($($table:ident),*) => {
        $(
            #[test]
            fn $table() {
                hold($table::CASES);
            }
        )*
    };
}

tables!(wav, npy, csv, sigmf, sources, trigger, commands, setups, expectations, kept, outputs);
