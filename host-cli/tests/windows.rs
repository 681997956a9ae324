//! What is otherwise on Windows: names, files that others have open, ports, ends of lines and pipes.
#![cfg(windows)]

mod program;
#[path = "program/run.rs"]
mod run;

use std::fs;
use std::io::Read;
use std::os::windows::fs::OpenOptionsExt;
use std::path::Path;
use std::process::{Command, Stdio};

use program::program;
use run::run;

/// A folder with a recording: a square wave of 100 periods of 20 samples, with the ends of lines
/// that are usual here.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("sub")).unwrap();
    let samples = (0..2000).map(|i| if i % 20 < 10 { "0.25\r\n" } else { "3.25\r\n" });
    fs::write(folder.path().join("square.csv"), samples.collect::<String>()).unwrap();
    folder
}

const SCAN: &str = "scan square.csv --rate 1000 --level 1.5V --format json";

#[test]
fn lines_of_files_may_end_as_they_do_here() {
    let folder = folder();
    let (status, out, errors) = run(folder.path(), SCAN);
    assert_eq!((status, errors.lines().count()), (Some(0), 0), "{errors}");
    assert_eq!(out.lines().count(), 100);
    let setup = "[trigger]\r\nlevel = \"1.5V\"\r\nslope = \"rising\"\r\n";
    fs::write(folder.path().join("s.toml"), setup).unwrap();
    let again = run(folder.path(), "scan square.csv --rate 1000 --setup s.toml --format json");
    assert!(again == (Some(0), out, String::new()), "{again:?}");
}

#[test]
fn names_have_backslashes_and_letters_of_any_language() {
    let folder = folder();
    let words = r"decimate square.csv --rate 1000 --by 2 --out sub\Spannung-µΩ-電圧.npy";
    assert_eq!(run(folder.path(), words).0, Some(0));
    let (status, out, _) = run(folder.path(), r"suggest sub\Spannung-µΩ-電圧.npy --rate 500");
    assert_eq!(status, Some(0), "{out}");
    assert!(out.contains(r#"view "sub\Spannung-µΩ-電圧.npy""#), "{out}");
    let (status, _, errors) = run(folder.path(), r"scan sub\none.npy --level 1");
    assert!(status == Some(2) && errors.contains(r"sub\none.npy"), "{errors}");
}

#[test]
fn a_file_that_another_program_has_open_is_named_and_stays() {
    let folder = folder();
    let out = folder.path().join("out.csv");
    let decimate = "decimate square.csv --rate 1000 --by 2 --out out.csv --overwrite";
    fs::write(&out, "before").unwrap();
    let alone = fs::OpenOptions::new().read(true).share_mode(0).open(&out).unwrap();
    let (status, _, errors) = run(folder.path(), decimate);
    assert_eq!(status, Some(2), "{errors}");
    assert!(
        errors.contains("out.csv") && errors.contains("another program has it open"),
        "{errors}"
    );
    drop(alone);
    assert_eq!(fs::read_to_string(&out).unwrap(), "before");
    assert_eq!(run(folder.path(), decimate).0, Some(0));
    assert!(fs::read_to_string(&out).unwrap().lines().count() > 900);
    assert_eq!(left_over(folder.path()), 0);
}

/// Files under temporary names.
fn left_over(folder: &Path) -> usize {
    let names = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    names.filter(|name| name.to_string_lossy().contains(".part")).count()
}

#[test]
fn a_port_that_is_not_there_is_named() {
    let folder = folder();
    for port in ["COM3", "COM42"] {
        let (status, _, errors) = run(folder.path(), &format!("live {port} --headless"));
        assert!(status == Some(2) && errors.contains(port), "{errors}");
        assert!(errors.contains("cannot be reached"), "{errors}");
    }
}

#[test]
fn a_reader_that_goes_away_ends_the_printing_quietly() {
    let folder = folder();
    let mut child = Command::new(program())
        .current_dir(folder.path())
        .args(SCAN.split_whitespace())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut errors = String::new();
    child.stderr.take().unwrap().read_to_string(&mut errors).unwrap();
    assert_eq!((child.wait().unwrap().code(), errors.as_str()), (Some(0), ""));
}
