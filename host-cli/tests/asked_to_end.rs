//! Ctrl-C, a closed terminal and the system's request to end: the tool keeps what is whole and ends by
//! itself, with the status that a shell expects.
#![cfg(unix)]

mod program;

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use program::program;
use tempfile::TempDir;

/// A recording of ten seconds, which is played in real time.
fn recording(folder: &Path) {
    let samples = (0..1_000_000_u32).flat_map(|n| ((n % 300 * 13) as u16).to_le_bytes());
    fs::write(folder.join("x.raw"), samples.collect::<Vec<u8>>()).unwrap();
}

const LIVE: &str = "live --play x.raw --sample-type u16le --rate 100kS/s --bits 12 --vref 3.3V \
                    --headless --out out.sigmf";

/// Starts the tool by way of a shell, which may have signals ignored.
fn start(folder: &Path, before: &str, words: &str) -> Child {
    Command::new("sh")
        .args(["-c", &format!("{before} exec \"$0\" {words}")])
        .arg(program())
        .current_dir(folder)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn send(signal: &str, child: &Child) {
    let pid = child.id().to_string();
    assert!(Command::new("kill").args(["-s", signal, &pid]).status().unwrap().success());
}

/// The status, once it ends.
fn ended(child: &mut Child) -> Option<i32> {
    let until = Instant::now() + Duration::from_secs(60);
    loop {
        if let Some(status) = child.try_wait().unwrap() {
            return status.code();
        }
        assert!(Instant::now() < until, "it goes on");
        sleep(Duration::from_millis(20));
    }
}

fn names(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> =
        names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn what_is_recorded_is_kept_whatever_asks_for_the_end() {
    for (signal, status) in [("INT", 130), ("TERM", 143), ("HUP", 129)] {
        let folder = TempDir::new().unwrap();
        recording(folder.path());
        let mut child = start(folder.path(), "", LIVE);
        sleep(Duration::from_secs(2));
        send(signal, &child);
        assert_eq!(ended(&mut child), Some(status), "{signal}");
        assert_eq!(names(folder.path()), ["out.sigmf-data", "out.sigmf-meta", "x.raw"], "{signal}");
        let meta = fs::read_to_string(folder.path().join("out.sigmf-meta")).unwrap();
        let meta: serde_json::Value = serde_json::from_str(&meta).unwrap();
        assert!(!meta["captures"].as_array().unwrap().is_empty(), "{signal}");
        assert!(fs::metadata(folder.path().join("out.sigmf-data")).unwrap().len() > 0, "{signal}");
    }
}

/// As `nohup` starts it.
#[test]
fn a_closed_terminal_that_was_to_be_ignored_is() {
    let folder = TempDir::new().unwrap();
    recording(folder.path());
    let mut child = start(folder.path(), "trap '' HUP;", LIVE);
    sleep(Duration::from_secs(1));
    send("HUP", &child);
    sleep(Duration::from_secs(1));
    assert!(child.try_wait().unwrap().is_none());
    send("TERM", &child);
    assert_eq!(ended(&mut child), Some(143));
}
