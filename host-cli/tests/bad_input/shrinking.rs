//! A file that shrinks while it is read.

use std::fs::{self, OpenOptions};
use std::io::Read;
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// The program has read a part when its full output stops it; then the rest of the file goes away.
fn shrunk(options: &str, content: &[u8], rest: u64) -> (Option<i32>, String) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("x");
    fs::write(&path, content).unwrap();
    let mut child = Command::new(crate::program::program())
        .current_dir(folder.path())
        .args(options.split_whitespace())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The first line is there: it reads, and the pipe will be full long before the file ends.
    let mut output = child.stdout.take().unwrap();
    output.read_exact(&mut [0]).unwrap();
    OpenOptions::new().write(true).open(&path).unwrap().set_len(rest).unwrap();
    std::io::copy(&mut output, &mut std::io::sink()).unwrap();
    let output = child.wait_with_output().unwrap();
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn raw_samples_that_go_away_are_missed() {
    let samples: Vec<u8> =
        (0..4_000_000_u32).flat_map(|i| (i as u16 % 2 * 9).to_le_bytes()).collect();
    let (status, errors) =
        shrunk("scan x --format json --sample-type u16le --level 5", &samples, 7_000_001);
    assert_eq!(
        (status, errors.as_str()),
        (
            Some(2),
            "error: x: byte 7000001: 999999 bytes went while it was read; let no other \
             program change it meanwhile, or read a copy\n"
        )
    );
}

#[test]
fn a_csv_that_loses_half_a_line_is_missed() {
    let text = "0,1\n9,2\n".repeat(1_000_000);
    let (status, errors) = shrunk("scan x --format json --level 5", text.as_bytes(), 7_000_002);
    assert_eq!(
        (status, errors.as_str()),
        (
            Some(2),
            "error: x: byte 7000002: 999998 bytes went while it was read; let no other \
             program change it meanwhile, or read a copy\n"
        )
    );
}

#[test]
fn a_recording_that_goes_away_while_it_is_played_is_missed() {
    let samples: Vec<u8> =
        (0..1_000_000_u32).flat_map(|i| (i as u16 / 500 % 2 * 3_600).to_le_bytes()).collect();
    let options = "live --play x --headless --sample-type u16le --rate 500kS/s --bits 12 \
                   --vref 4.096V --zero 1800 --out kept";
    let (status, errors) = shrunk(options, &samples, 700_001);
    assert_eq!(status, Some(2), "{errors}");
    // What came before is written.
    assert!(errors.contains("note: written kept-"), "{errors}");
    let last = "error: x: byte 700001: 1299999 bytes went while it was read; let no other \
                program change it meanwhile, or read a copy\n";
    assert!(errors.ends_with(last), "{errors}");
}
