//! What is no fault: it is said, counted, or passed over, and the status is 0.

mod program;

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use program::program;
use tempfile::TempDir;

fn stillwave(folder: &Path, words: &str) -> Output {
    Command::new(program())
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

fn ramp_raw() -> Vec<u8> {
    (0..1000_u16).flat_map(|i| (i % 100 * 40).to_le_bytes()).collect()
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
fn closed_pipe_ends_quietly() {
    let folder = TempDir::new().unwrap();
    let samples: Vec<u8> =
        (0..400_000_u32).flat_map(|i| (i as u16 % 2 * 9).to_le_bytes()).collect();
    fs::write(folder.path().join("busy.raw"), samples).unwrap();
    let mut child = Command::new(program())
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
    let mut child = Command::new(program())
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
fn an_existing_output_is_replaced_when_that_is_asked_for() {
    let folder = folder_with("ramp.raw", ramp_raw());
    fs::write(folder.path().join("record-0001.csv"), "mine").unwrap();
    let capture = "capture ramp.raw --sample-type u16le --level 2000 --post 50sa --save-as csv \
                   --rate 1kS/s --out record --overwrite";
    let output = stillwave(folder.path(), capture);
    assert_eq!(output.status.code(), Some(0));
    assert_ne!(fs::read_to_string(folder.path().join("record-0001.csv")).unwrap(), "mine");
}

#[cfg(unix)]
#[test]
fn a_link_stays_and_the_file_behind_it_is_replaced() {
    let folder = folder_with("ramp.raw", ramp_raw());
    let link = folder.path().join("x.npy");
    fs::create_dir(folder.path().join("far")).unwrap();
    fs::write(folder.path().join("far/y.npy"), "old").unwrap();
    std::os::unix::fs::symlink("far/y.npy", &link).unwrap();
    let decimate = "decimate ramp.raw --sample-type u16le --by 2 --out x.npy --overwrite";
    assert_eq!(stillwave(folder.path(), decimate).status.code(), Some(0));
    assert!(link.is_symlink());
    assert!(fs::read(folder.path().join("far/y.npy")).unwrap().starts_with(b"\x93NUMPY"));
    assert_eq!(fs::read_dir(folder.path().join("far")).unwrap().count(), 1);
}

#[cfg(target_os = "linux")]
#[test]
fn metadata_of_any_length_take_no_memory() {
    let folder = folder_with("x.sigmf-data", [0, 9, 0, 9]);
    let annotation = r#"{"core:sample_start": 1, "core:label": "rising edge"},"#;
    let text = format!(
        r#"{{"global": {{"core:datatype": "ru8", "core:version": "1.2.5"}}, "captures": [],
            "annotations": [{}{{}}]}}"#,
        annotation.repeat(500_000)
    );
    assert!(text.len() > 25 << 20);
    fs::write(folder.path().join("x.sigmf-meta"), text).unwrap();
    let mut command = Command::new("sh");
    let limited = "ulimit -d 65536; exec \"$0\" scan x.sigmf-meta --level 5 --format csv";
    let output = command
        .args(["-c", limited])
        .arg(program())
        .env("RAYON_NUM_THREADS", "2")
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(String::from_utf8_lossy(&output.stdout).lines().count(), 3);
}
