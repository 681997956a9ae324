//! Couplings on the command line: what they find, what they say, what they refuse.

mod program;

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use program::program;
use serde_json::Value;

fn run(samples: &[u16], command: &str, options: &str) -> Output {
    let mut tool = Command::new(program())
        .args([command, "-", "--sample-type", "u16le", "--rate", "10kS/s"])
        .args(["--bits", "12", "--vref", "4.096V"])
        .args(options.split_whitespace())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the tool starts");
    let bytes: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
    // Where the options are refused nothing is read.
    let _ = tool.stdin.take().expect("a pipe").write_all(&bytes);
    tool.wait_with_output().expect("the tool ends")
}

fn text(samples: &[u16], command: &str, options: &str) -> String {
    let output = run(samples, command, options);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

fn positions(samples: &[u16], options: &str) -> Vec<u64> {
    let lines = text(samples, "scan", &format!("{options} --format json"));
    let position =
        |line| serde_json::from_str::<Value>(line).unwrap()["position"].as_u64().unwrap();
    lines.lines().map(position).collect()
}

fn refused(options: &str) -> String {
    let output = run(&[0; 8], "scan", options);
    assert_eq!(output.status.code(), Some(2), "{options}");
    String::from_utf8(output.stderr).unwrap()
}

/// 100 Hz of 200 mV, on a mean that drifts from 0.5 V to 3.5 V in two seconds.
fn drifting() -> Vec<u16> {
    let wave = |n: u32| if n % 100 < 50 { 0 } else { 200 };
    (0..20_000).map(|n| (500 + n * 3 / 20 + wave(n)) as u16).collect()
}

#[test]
fn without_the_mean_a_drift_does_not_matter() {
    let edges = |options: &str| positions(&drifting(), options).len();
    assert!(edges("--level 2V --hysteresis 50mV") < 20);
    // 2 s of 100 Hz, but for what is settling.
    for coupling in ["ac --corner 5Hz", "ac", "low-reject --corner 30Hz"] {
        let options = format!("--level 0V --hysteresis 50mV --coupling {coupling}");
        assert!((190..=200).contains(&edges(&options)), "{coupling}: {}", edges(&options));
    }
    let settled = positions(&drifting(), "--level 50mV --hysteresis 99mV --coupling ac");
    let late: Vec<_> = settled.into_iter().filter(|position| *position > 5000).collect();
    assert!(late.iter().all(|position| position % 100 == 50), "{late:?}");
}

/// A square wave with spikes to its other side.
fn spiky() -> Vec<u16> {
    (0..10_000).map(|n| if (n % 1000 < 500) == (n % 37 != 0) { 1000 } else { 3000 }).collect()
}

#[test]
fn without_what_is_fast_spikes_do_not_matter() {
    let edges = |options: &str| positions(&spiky(), options).len();
    assert!(edges("--level 2V") > 200);
    let filtered =
        positions(&spiky(), "--level 2V --hysteresis 200mV --coupling high-reject --corner 100Hz");
    // Rising every 1000 samples, and 1/(2π · 100 Hz) = 16 samples later, ln 2 of it for half way.
    assert_eq!(filtered.len(), 10, "{filtered:?}");
    assert!(filtered.iter().all(|n| (505..530).contains(&(n % 1000))), "{filtered:?}");
}

#[test]
fn noise_rejected_by_hysteresis() {
    let ripple: Vec<u16> =
        (0..2000).map(|n| if n % 100 < 50 { 1000 } else { 2000 + n % 2 * 30 }).collect();
    assert!(positions(&ripple, "--level 2.01V --hysteresis 5mV").len() > 200);
    // A 32nd of 4096 counts.
    let options = "--level 2.01V --hysteresis 5mV --coupling noise-reject";
    assert_eq!(positions(&ripple, options).len(), 20);
    let said = text(&ripple, "scan", options);
    assert!(said.contains("hysteresis 128.0 mV (128 counts)"), "{said}");
}

#[test]
fn what_is_used_is_said() {
    let said = text(&drifting(), "scan", "--level 20mV --coupling ac");
    let line = "rising edge through 20.00 mV (20 counts), hysteresis 0.000 V (0 counts), \
                AC coupled from 10.00 Hz on (levels count from the mean; settles in 73 ms)";
    assert!(said.contains(line), "{said}");
    let said = text(&drifting(), "scan", "--level 20 --coupling high-reject --corner 1kHz");
    assert!(said.contains("through 20.00 mV (20 counts)"), "{said}");
    assert!(said.contains(", without what is above 1.000 kHz (settles in 700 µs)"), "{said}");
}

#[test]
fn records_keep_the_mean() {
    let options = "--level 0V --hysteresis 50mV --coupling ac --pre 0sa --post 100sa --format json";
    let measured = text(&drifting(), "measure", options);
    let last: Value = serde_json::from_str(measured.lines().last().unwrap()).unwrap();
    assert!(last["mean"].as_f64().unwrap() > 3.4, "{last}");
}

#[test]
fn settings_that_make_no_sense() {
    for (options, said) in [
        ("--level 1V --corner 10Hz", "--corner has no use without a filter"),
        ("--level 1V --coupling high-reject", "add --corner 1kHz"),
        ("--level 1V --coupling ac --corner 3kHz", "give one of up to 2.500 kHz"),
        ("--level 1V --coupling none", "possible values: dc, ac, low-reject"),
    ] {
        let message = refused(options);
        assert!(message.contains(said), "{options}: {message}");
    }
}
