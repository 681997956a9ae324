//! What the program says to bad input: one clear message, status 2, nothing half-written.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

fn stillwave(folder: &Path, words: &str) -> Output {
    Command::new(env!("CARGO_BIN_EXE_stillwave"))
        .current_dir(folder)
        .args(words.split_whitespace())
        .stdin(Stdio::null())
        .output()
        .expect("the program runs")
}

fn folder_with(name: &str, content: impl AsRef<[u8]>) -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join(name), content).unwrap();
    folder
}

/// Asserts status 2, nothing on standard output, and one line of error: this one.
fn refuses(folder: &TempDir, words: &str, message: &str) {
    let output = stillwave(folder.path(), words);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{words}: {errors}");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "", "{words}");
    assert_eq!(errors, format!("error: {message}\n"), "{words}");
}

/// A mono 16-bit WAV of these samples, whose header promises `promised` of them.
fn wav(samples: &[i16], promised: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let size = promised * 2;
    bytes.extend(b"RIFF");
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend([16, 0, 0, 0, 1, 0, 1, 0]);
    bytes.extend(8000_u32.to_le_bytes());
    bytes.extend(16000_u32.to_le_bytes());
    bytes.extend([2, 0, 16, 0]);
    bytes.extend(b"data");
    bytes.extend(size.to_le_bytes());
    bytes.extend(samples.iter().flat_map(|x| x.to_le_bytes()));
    bytes
}

fn ramp_raw() -> Vec<u8> {
    (0..1000_u16).flat_map(|i| (i % 100 * 40).to_le_bytes()).collect()
}

#[test]
fn empty_file() {
    let folder = folder_with("nothing.wav", []);
    let output = stillwave(folder.path(), "scan nothing.wav --level 1");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.starts_with("error: nothing.wav: ") && errors.contains("empty"), "{errors}");
    assert_eq!(errors.lines().count(), 1);
}

#[test]
fn missing_file() {
    let folder = TempDir::new().unwrap();
    let output = stillwave(folder.path(), "scan nowhere.wav --level 1");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.starts_with("error: nowhere.wav: cannot be opened"), "{errors}");
}

#[test]
fn truncated_wav() {
    let folder = folder_with("short.wav", wav(&[1, 2, 3], 10));
    let output = stillwave(folder.path(), "scan short.wav --level 1");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.starts_with("error: short.wav: ") && errors.contains("14 bytes"), "{errors}");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "");
}

#[test]
fn word_in_a_column_of_numbers() {
    let folder = folder_with("words.csv", "time,volts\n0,1\n0.1,2\n0.2,three\n");
    let output = stillwave(folder.path(), "scan words.csv --level 1V --format json");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.contains("words.csv: line 4, column 2: \"three\" is not a number"), "{errors}");
}

#[test]
fn impossible_options() {
    let folder = folder_with("ramp.raw", ramp_raw());
    let scan = "scan ramp.raw --sample-type u16le";
    for (options, part) in [
        ("--level 2000 --rate 0", "\"0\" is not a sample rate"),
        ("--level two", "\"two\" is not a level"),
        ("--level 2000 --holdoff 5", "the unit is missing"),
        ("--level 2000 --hysteresis -1", "hysteresis is -1: it must be 0 or more"),
        ("--level 1V", "--level needs to know how many volts a count is"),
        ("--level 2000 --holdoff 2ms", "the recording has no sample rate"),
        ("--level 2000 --on pulse", "needs a width"),
        ("--level 2000 --channel 0", "count from 1"),
        ("--level 2000 --channel 2", "there is no channel 2"),
        ("--level 2000 --every 0", "every is 0: it must be 1 or more"),
        ("--level 2000 --bits 40 --vref 3V", "bits is 40: it must be 1 to 32"),
        ("--level 2000 --on pulse --within 20sa..10sa", "the lower bound comes first"),
    ] {
        let output = stillwave(folder.path(), &format!("{scan} {options}"));
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{options}: {errors}");
        assert!(errors.contains(part), "{options}: {errors}");
        assert_eq!(String::from_utf8_lossy(&output.stdout), "", "{options}");
    }
}

#[test]
fn raw_without_a_type() {
    let folder = folder_with("ramp.raw", ramp_raw());
    let output = stillwave(folder.path(), "scan ramp.raw --level 1");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.contains("--sample-type"), "{errors}");
}

#[test]
fn level_out_of_range_is_a_warning() {
    let folder = folder_with("ramp.raw", ramp_raw());
    let output = stillwave(
        folder.path(),
        "scan ramp.raw --sample-type u16le --bits 12 --vref 3.3V --level 4V --format json",
    );
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{errors}");
    assert!(errors.contains("outside the converter's range"), "{errors}");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "");
}

#[test]
fn samples_that_are_not_finite_are_counted() {
    let samples = [0.0, f32::NAN, 1.0, f32::INFINITY, 0.0, 1.0];
    let bytes: Vec<u8> = samples.iter().flat_map(|x: &f32| x.to_le_bytes()).collect();
    let folder = folder_with("gaps.raw", bytes);
    let output =
        stillwave(folder.path(), "scan gaps.raw --sample-type f32le --level 0.5 --format json");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{errors}");
    assert!(errors.contains("2 samples are not finite"), "{errors}");
    let positions: Vec<u64> = String::from_utf8_lossy(&output.stdout)
        .lines()
        .map(|line| {
            let event: serde_json::Value = serde_json::from_str(line).unwrap();
            event["position"].as_u64().unwrap()
        })
        .collect();
    assert_eq!(positions, [2, 5]);
}

#[test]
fn unwritable_output_leaves_nothing() {
    let folder = folder_with("ramp.raw", ramp_raw());
    let capture = "capture ramp.raw --sample-type u16le --level 2000 --post 50sa";
    for save_as in ["wav", "csv", "npy", "sigmf"] {
        let words = format!("{capture} --save-as {save_as} --rate 1kS/s --out nowhere/record");
        let output = stillwave(folder.path(), &words);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{errors}");
        assert!(errors.starts_with("error: nowhere/record"), "{errors}");
    }
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

#[test]
fn existing_output_is_kept() {
    let folder = folder_with("ramp.raw", ramp_raw());
    fs::write(folder.path().join("record-0001.csv"), "mine").unwrap();
    let capture = "capture ramp.raw --sample-type u16le --level 2000 --post 50sa --save-as csv \
                   --rate 1kS/s --out record";
    let output = stillwave(folder.path(), capture);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{errors}");
    assert!(errors.contains("record-0001.csv") && errors.contains("--overwrite"), "{errors}");
    assert_eq!(fs::read_to_string(folder.path().join("record-0001.csv")).unwrap(), "mine");
    let output = stillwave(folder.path(), &format!("{capture} --overwrite"));
    assert_eq!(output.status.code(), Some(0));
    assert_ne!(fs::read_to_string(folder.path().join("record-0001.csv")).unwrap(), "mine");
}

#[test]
fn closed_pipe_ends_quietly() {
    let folder = TempDir::new().unwrap();
    let samples: Vec<u8> =
        (0..400_000_u32).flat_map(|i| (i as u16 % 2 * 9).to_le_bytes()).collect();
    fs::write(folder.path().join("busy.raw"), samples).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_stillwave"))
        .current_dir(folder.path())
        .args("scan busy.raw --sample-type u16le --level 5 --format json".split_whitespace())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn endless_pipe_in_little_memory() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_stillwave"))
        .args("scan - --sample-type u8 --rate 1MS/s --level 200 --holdoff 1s".split_whitespace())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = child.stdin.take().unwrap();
    let block: Vec<u8> = (0..1_000_000).map(|i| if i % 1000 < 500 { 10 } else { 250 }).collect();
    for _ in 0..200 {
        pipe.write_all(&block).unwrap();
    }
    #[cfg(target_os = "linux")]
    {
        let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
        let peak: u64 = peak.trim().trim_end_matches(" kB").parse().unwrap();
        assert!(peak < 64 * 1024, "{peak} kB");
    }
    drop(pipe);
    let output = child.wait_with_output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("found      200 events"), "{text}");
    assert!(text.contains("in 200000000 samples"), "{text}");
}

#[test]
fn messages_are_whole() {
    let folder = folder_with("ramp.raw", ramp_raw());
    refuses(
        &folder,
        "scan ramp.raw --sample-type u16le --level 1V",
        "--level needs to know how many volts a count is; add --bits and --vref, such as \
         --bits 12 --vref 3.3V, or give a level in counts",
    );
    refuses(
        &folder,
        "scan ramp.raw --sample-type u16le --level 2000 --slope rising --polarity positive",
        "--polarity has no use with --on edge; leave it out, or choose --on pulse or --on runt or --on video",
    );
}
