//! Suggestions and surveys of recordings whose truth is known, as a user would ask for them.

mod program;

use std::f64::consts::TAU;
use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use program::program;
use serde_json::Value;
use tempfile::TempDir;

/// Makes a recording of 16-bit samples at 1 MS/s from forms from 0 to 1, one a channel, with noise
/// of `noise` codes (uniform, as a standard deviation).
fn recording(name: &str, length: u64, noise: f64, forms: &[&dyn Fn(f64) -> f64]) -> TempDir {
    let folder = TempDir::new().unwrap();
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 33) as f64 / f64::from(1_u32 << 31) - 0.5
    };
    let samples = (0..length).flat_map(|i| {
        let codes = forms.iter().map(|form| 500.0 + 3000.0 * form(i as f64));
        codes
            .map(|code| (code + noise * 12_f64.sqrt() * random()).round() as u16)
            .collect::<Vec<_>>()
    });
    let bytes: Vec<u8> = samples.flat_map(u16::to_le_bytes).collect();
    fs::write(folder.path().join(name), bytes).unwrap();
    folder
}

fn run(folder: &Path, words: &str) -> Output {
    Command::new(program())
        .current_dir(folder)
        .args(words.split_whitespace())
        .stdin(Stdio::null())
        .output()
        .expect("the program runs")
}

fn said(output: &Output) -> String {
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{errors}");
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn lines(text: &str) -> Vec<Value> {
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

const OPTIONS: &str = "--sample-type u16le --rate 1MS/s --bits 12 --vref 4.096V";

/// The distances, in samples, of what the suggested command finds from instants that are `period`
/// apart; and the jitter that was stated.
fn distances(folder: &TempDir, first: f64, period: f64) -> (Vec<f64>, f64) {
    let found =
        &lines(&said(&run(folder.path(), &format!("suggest r.raw {OPTIONS} --format json"))))[0];
    let command = found["command"].as_str().unwrap();
    // The same trigger, listed instead of drawn; a scan makes no records.
    let scan = command.replacen("stillwave view", "scan", 1);
    let scan = scan.split(" --pre").next().unwrap();
    let events = lines(&said(&run(folder.path(), &format!("{scan} --format json"))));
    assert_eq!(events.len() as u64, found["events"].as_u64().unwrap());
    let distance = |event: &Value| {
        let periods = (event["crossing"].as_f64().unwrap() - first) / period;
        (periods - periods.round()) * period
    };
    // The command itself runs as it is.
    let view = run(folder.path(), &command.replacen("stillwave ", "", 1));
    assert!(said(&view).contains("records"));
    (events.iter().map(distance).collect(), found["jitter_samples"].as_f64().unwrap())
}

fn spread(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt()
}

#[test]
fn the_command_that_is_printed_stands_as_still_as_stated() {
    let sine = |t: f64| 0.5 + 0.5 * (TAU * t / 83.7).sin();
    let folder = recording("r.raw", 50_000, 3.0, &[&sine]);
    let (distances, stated) = distances(&folder, 0.0, 83.7);
    assert!(distances.len().abs_diff(597) < 2);
    let ratio = spread(&distances) / stated;
    assert!((0.6..1.15).contains(&ratio), "{ratio}");
}

#[test]
fn noise_as_strong_as_half_the_sine_is_filtered_away() {
    // 6 dB: noise of A/√8.
    let sine = |t: f64| 0.5 + 0.25 * (TAU * t / 120.3).sin();
    let folder = recording("r.raw", 100_000, 750.0 / 8_f64.sqrt(), &[&sine]);
    let (distances, stated) = distances(&folder, 0.0, 120.3);
    assert!(distances.len().abs_diff(831) < 5);
    let ratio = spread(&distances) / stated;
    assert!((0.6..1.2).contains(&ratio), "{ratio}");
}

/// Five pulses of 20 samples, 50 apart, every 817.3.
fn burst(t: f64) -> f64 {
    let at = (t + 490.0).rem_euclid(817.3) - 400.0;
    let rise = |t: f64| (t / 4.0 + 0.5).clamp(0.0, 1.0);
    (0..5).map(|n| at - 50.0 * f64::from(n)).map(|at| rise(at) - rise(at - 20.0)).sum()
}

#[test]
fn a_burst_stands_by_its_first_pulse_and_its_setup_is_kept() {
    let folder = recording("r.raw", 100_000, 4.0, &[&burst]);
    let (distances, stated) = distances(&folder, -90.0, 817.3);
    // But for the burst that the recording begins in.
    assert!(spread(&distances[2..]) < 1.3 * stated, "{distances:?}");
    let path = folder.path();
    let text = said(&run(path, &format!("suggest r.raw {OPTIONS} --save-setup kept.toml")));
    assert!(text.contains("5 edges come within 200"), "{text}");
    let of_file = said(&run(path, "scan r.raw --sample-type u16le --rate 1MS/s --setup kept.toml"));
    let count = |text: &str| text.lines().find(|l| l.starts_with("found")).unwrap().to_owned();
    let (found, kept) = (count(&text), count(&of_file));
    assert_eq!(
        found.split(',').next(),
        kept.split(" event").next().map(|s| format!("{s} events")).as_deref()
    );
    said(&run(path, &format!("suggest r.raw {OPTIONS} --save-setup kept.rs")));
    assert!(fs::read_to_string(path.join("kept.rs")).unwrap().contains("Holdoff::Samples("));
}

#[test]
fn what_does_not_move_is_said_to() {
    let folder = recording("r.raw", 20_000, 1.0, &[&|_| 0.5]);
    let text = said(&run(folder.path(), &format!("suggest r.raw {OPTIONS}")));
    assert!(text.contains("nothing moves: it stays at 2.000 V, but for noise of"), "{text}");
    let row =
        &lines(&said(&run(folder.path(), &format!("suggest r.raw {OPTIONS} --format json"))))[0];
    assert_eq!((&row["moves"], &row["level"]), (&Value::Bool(false), &Value::Null));
    let refused = run(folder.path(), &format!("suggest r.raw {OPTIONS} --save-setup no.toml"));
    assert_eq!(refused.status.code(), Some(2));
    assert!(!folder.path().join("no.toml").exists());
}

#[test]
fn channels_pipes_and_long_recordings() {
    // Longer than is held in memory, and read anew for each look.
    let square = |t: f64| f64::from(t.rem_euclid(1000.3) < 500.0);
    let sine = |t: f64| 0.5 + 0.4 * (TAU * t / 333.3).sin();
    let folder = recording("r.raw", 9_000_000, 3.0, &[&square, &sine]);
    let words = format!("suggest r.raw {OPTIONS} --channels 2 --channel 2,1 --format csv");
    let text = said(&run(folder.path(), &words));
    let rows: Vec<&str> = text.lines().collect();
    assert_eq!(rows.len(), 3, "{text}");
    assert!(rows[0].starts_with("channel,moves,samples,"));
    assert!(rows[1].starts_with("2,true,9000000,") && rows[2].starts_with("1,true,9000000,"));
    assert!(rows[1].contains(",27002,0,") && rows[2].contains(",8997,0,"), "{text}");
    // Of a stream, the beginning is looked at, and it is said so.
    let mut piped = Command::new(program());
    piped.args(["suggest", "-"]).args(OPTIONS.split_whitespace()).args(["--channels", "2"]);
    piped.stdin(File::open(folder.path().join("r.raw")).unwrap());
    let output = piped.args(["--channel", "1,2"]).output().unwrap();
    assert!(said(&output).contains("8388608 samples"));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(errors.contains("this is of its first 8388608 samples, 8.389 s"), "{errors}");
}

#[test]
fn a_survey_shows_where_the_level_is_safe() {
    // Pulses from 500 to 3500 codes in noise of 20: each is crossed once from well above the one
    // state to well below the other.
    let folder = recording("r.raw", 100_000, 20.0, &[&burst]);
    let rows = lines(&said(&run(folder.path(), &format!("survey r.raw {OPTIONS} --format json"))));
    assert_eq!(rows.len(), 101);
    let true_edges = 613;
    for row in &rows {
        let (level, events) = (row["level"].as_f64().unwrap(), row["events"].as_u64().unwrap());
        let safe = (0.6..3.4).contains(&level);
        // Uniform noise ends 35 codes from each state: near there it may be either.
        if safe || !(0.53..3.47).contains(&level) {
            assert_eq!(row["steady"].as_bool(), Some(safe), "{row}");
            assert_eq!(events.abs_diff(true_edges) <= 2, safe, "{row}");
        }
    }
    let table = said(&run(folder.path(), &format!("survey r.raw {OPTIONS} --width 80")));
    assert!(table.contains("steady, the widest") && table.contains("noise or ripple fires too"));
    assert!(table.contains("take --level 2V") || table.contains("take --level 1.99V"), "{table}");
}

#[test]
fn a_survey_over_hysteresis_and_width() {
    let folder = recording("r.raw", 100_000, 20.0, &[&burst]);
    // In the noise of the low state it takes several deviations for each pulse to count once.
    let words = format!("survey r.raw {OPTIONS} --over hysteresis --level 0.52V --format json");
    let rows = lines(&said(&run(folder.path(), &words)));
    assert!(rows[0]["events"].as_u64().unwrap() > 10_000);
    // One pulse narrower than all others.
    let odd = |t: f64| {
        let (n, at) = ((t / 200.0).floor(), t.rem_euclid(200.0));
        f64::from(at < if n == 70.0 { 40.5 } else { 60.5 + (n % 3.0) })
    };
    let folder = recording("r.raw", 40_000, 2.0, &[&odd]);
    let words = format!("survey r.raw {OPTIONS} --over width --png s.png");
    let table = said(&run(folder.path(), &words));
    // 199 pulses begin and end in the recording; all but one are longer than 41 µs.
    assert!(table.contains("steady     198 events from 41"), "{table}");
    assert!(fs::metadata(folder.path().join("s.png")).unwrap().len() > 1000);
    let refused =
        run(folder.path(), &format!("survey r.raw {OPTIONS} --over width --slope either"));
    assert_eq!(refused.status.code(), Some(2));
    let refused = run(folder.path(), &format!("survey r.raw {OPTIONS} --level 1V"));
    assert_eq!(refused.status.code(), Some(2));
}
